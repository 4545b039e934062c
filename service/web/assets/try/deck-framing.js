// <deck-framing>: a form for a deck, and its design as the service answers it. A page may hold it with its own
// colours; what it takes is told in embedding.md, beside the document of the interface.
//
// State goes one way: what was typed makes a spec, the spec an answer, the answer the page. Nothing goes back.

import { h } from "./dom.js";
import { Form } from "./form.js";
import { itemNames } from "./order.js";
import { problemPart, resultParts } from "./result.js";
import { Refusal, Service } from "./service.js";
import { told } from "./verdict.js";

const HERE = new URL(import.meta.url);
const NOTICE = "No permit, and no engineer's design. Local codes and licensed practice decide. " +
  "Have buried lines marked before you dig.";

class DeckFraming extends HTMLElement {
  static observedAttributes = ["service", "key", "jurisdiction", "price-book"];

  #answered = null; // what was posted for the answer shown, as text
  #calls = new AbortController();
  #drawn = [];

  connectedCallback() {
    if (!this.shadowRoot) this.attachShadow({ mode: "open" });
    this.#begin();
  }

  disconnectedCallback() {
    this.#calls.abort();
    this.#forgetPictures();
  }

  attributeChangedCallback(_, before, after) {
    if (this.shadowRoot && this.isConnected && before !== after) this.#begin();
  }

  /** Set the element up anew: what may be chosen, then the form. */
  async #begin() {
    this.#calls.abort();
    this.#calls = new AbortController();
    const { signal } = this.#calls;
    this.#answered = null;
    this.status = h("p", { class: "status", role: "status" }, "Fetching what may be chosen…");
    this.result = h("div", { class: "result" });
    this.asking = h("div", { class: "asking" });
    const answer = h("div", { class: "answer" }, this.status, this.result);
    this.shadowRoot.replaceChildren(
      h("link", { rel: "stylesheet", href: new URL("look.css", HERE).href }),
      h("p", { class: "notice" }, NOTICE),
      h("div", { class: "frame" }, this.asking, answer));
    try {
      this.service = new Service(this.getAttribute("service") || HERE.origin, this.getAttribute("key"));
      await this.#offer(signal);
    } catch (failure) {
      if (!signal.aborted) this.status.textContent = failure.message;
    }
  }

  async #offer(signal) {
    const fixed = Object.fromEntries([["jurisdiction", "jurisdiction"], ["price-book", "price_book"]]
      .filter(([name]) => this.getAttribute(name)).map(([name, path]) => [path, this.getAttribute(name)]));
    const [options, places] = await Promise.all([
      this.service.options({ jurisdiction: fixed.jurisdiction, price_book: fixed.price_book }, signal),
      this.service.places(signal),
    ]);
    if (signal.aborted) return;
    this.options = options;
    // with a key of a page every design is priced with the one book the key has
    if (this.service.key && options.price_books.length) fixed.price_book ??= options.price_books[0].id;
    this.form = new Form(options, places, fixed, (event) => this.#changed(event), (event) => {
      event.preventDefault();
      this.#design(true);
    });
    this.asking.replaceChildren(this.form.element);
    this.form.element.addEventListener("input", () => this.#typed());
    const kept = this.hasAttribute("remember") ? history.state?.deck : null;
    if (kept) this.form.typed = kept;
    this.status.textContent = "Put in the sizes, then press Work it out.";
    await this.#reoffer();
  }

  async #changed(event) {
    this.#typed();
    if (event.target.closest(".field")?.querySelector("#f-jurisdiction, #f-price-book")) await this.#reoffer();
    if (this.#answered !== null) this.#design(false);
  }

  /** A page of ours keeps what was typed in this tab, for who comes back to it; the history of others' pages is theirs. */
  #typed() {
    if (this.hasAttribute("remember")) history.replaceState({ deck: this.form.typed }, "");
    this.#date();
  }

  /** An answer to anything but what stands in the form says so of itself. */
  #date() {
    if (this.#answered === null) return;
    const old = JSON.stringify(this.form.spec) !== this.#answered;
    for (const one of [this.status, this.result]) one.classList.toggle("old", old);
  }

  async #reoffer() {
    this.offering?.abort();
    const mine = (this.offering = new AbortController());
    const signal = AbortSignal.any([mine.signal, this.#calls.signal]);
    try {
      this.options = await this.service.options({ jurisdiction: this.form.place, price_book: this.form.book }, signal);
      this.form.offer(this.options);
    } catch (failure) {
      // the form stays as it was; a place or book that is not there is told by the design
      if (!(failure instanceof Refusal || signal.aborted)) throw failure;
    }
  }

  /** Post what was typed and show the answer; only who pressed the button is taken to it. */
  async #design(pressed) {
    this.designing?.abort();
    const mine = (this.designing = new AbortController());
    const signal = AbortSignal.any([mine.signal, this.#calls.signal]);
    const spec = this.form.spec;
    this.status.textContent = "Working it out…";
    this.result.setAttribute("aria-busy", "true");
    try {
      const report = await this.service.design(spec, signal);
      if (!signal.aborted) this.#show(spec, report, pressed, signal);
    } catch (failure) {
      if (signal.aborted) return;
      const isRefusal = failure instanceof Refusal;
      this.#refuse(spec, isRefusal ? failure : new Refusal("The answer could not be read."), pressed);
      if (!isRefusal) throw failure;
    } finally {
      if (!signal.aborted) this.result.removeAttribute("aria-busy");
    }
  }

  #show(spec, report, pressed, signal) {
    const names = itemNames(this.options.items_offered);
    const open = new Set([...this.result.querySelectorAll("details[open]")].map((one) => one.dataset.key));
    this.#forgetPictures();
    const picture = (blob) => this.#picture(blob);
    this.result.replaceChildren(...resultParts(report, { spec, names, service: this.service, signal, picture }));
    for (const one of this.result.querySelectorAll("details")) one.open ||= open.has(one.dataset.key);
    this.form.complain([]);
    this.#settle(spec, told(report));
    if (pressed) this.result.querySelector("h2").focus();
    this.dispatchEvent(new CustomEvent("deck-designed", { bubbles: true, composed: true, detail: { spec, report } }));
  }

  #refuse(spec, refusal, pressed) {
    this.#forgetPictures();
    const found = this.form.complain(refusal.errors);
    this.result.replaceChildren(problemPart(refusal, found));
    this.#settle(spec, found.length
      ? `Not worked out: ${found.length === 1 ? "one thing" : `${found.length} things`} to put right.`
      : `Not worked out: ${refusal.message}`);
    if (pressed) found.find((one) => one.field)?.field.control.focus();
  }

  #settle(spec, said) {
    this.#answered = JSON.stringify(spec);
    this.status.textContent = said;
    this.#date();
  }

  #picture(blob) {
    const address = URL.createObjectURL(blob);
    this.#drawn.push(address);
    return address;
  }

  #forgetPictures() {
    for (const address of this.#drawn.splice(0)) URL.revokeObjectURL(address);
  }
}

customElements.define("deck-framing", DeckFraming);
