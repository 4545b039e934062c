// The calls to the service. Everything that goes wrong becomes a Refusal with words for people.

import { sentence } from "./words.js";

export class Refusal extends Error {
  constructor(message, errors = []) {
    super(message);
    this.errors = errors;
  }
}

export class Service {
  /** `key` is a publishable one, or nothing: whoever opens the page can read it. */
  constructor(address, key) {
    // the service may stand under a path of its host
    this.address = new URL(address, document.baseURI).href.replace(/\/+$/, "");
    if (key?.startsWith("secret.")) throw new Refusal("A secret key stands in this page: revoke it, and put a publishable one here.");
    this.key = key;
  }

  at(path) {
    return this.address + path;
  }

  options(query, signal) {
    const given = Object.entries(query).filter(([, value]) => value);
    return this.#call(`/v1/options?${new URLSearchParams(given)}`, { signal }, asJson);
  }

  async places(signal) {
    return (await this.#call("/v1/jurisdictions", { signal }, asJson)).items;
  }

  design(spec, signal) {
    return this.#post("/v1/designs", spec, "application/json", signal, asJson);
  }

  drawing(spec, sheet, paper, signal) {
    return this.#post("/v1/drawings", { spec, sheet, paper }, "image/svg+xml", signal, asBlob);
  }

  permitPackage(spec, paper, signal) {
    return this.#post("/v1/permit-packages", { spec, paper }, "application/pdf", signal, asBlob);
  }

  #post(path, body, accept, signal, read) {
    const headers = { "Content-Type": "application/json", Accept: accept };
    return this.#call(path, { method: "POST", headers, body: JSON.stringify(body), signal }, read);
  }

  /** To a page that may not read an answer the browser says no more than when no line is up. */
  get #silence() {
    return this.key
      ? "The service does not answer this page. Is the line up, and may the key be used from here?"
      : "The service does not answer. Is the line up?";
  }

  async #call(path, request, read) {
    let answer;
    try {
      const headers = { ...request.headers, ...(this.key && { Authorization: `Bearer ${this.key}` }) };
      answer = await fetch(this.at(path), { ...request, headers, credentials: "omit" });
      if (answer.ok) return await read(answer);
    } catch (failure) {
      if (failure.name === "AbortError") throw failure;
      throw new Refusal(answer ? "The answer did not come whole. Try again." : this.#silence);
    }
    throw await refusal(answer);
  }
}

const asJson = (answer) => answer.json();
const asBlob = (answer) => answer.blob();

async function refusal(answer) {
  if (answer.status === 404) return new Refusal("This service does not offer it.");
  const problem = await answer.json().catch(() => ({}));
  return new Refusal(sentence(problem.detail ?? `the service answered ${answer.status}`), problem.errors ?? []);
}
