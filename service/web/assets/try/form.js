// The form: groups of fields, what is asked for, and what was given.

import { h } from "./dom.js";
import { Field } from "./fields.js";
import { outlineSketch } from "./sketch.js";
import { asked, GROUPS, START } from "./layout.js";
import { fieldAt, specOf } from "./spec.js";
import { sentence } from "./words.js";

const SHAPES = [["sizes", "Rectangle"], ["corners", "Corners"]];

export class Form {
  /** `fixed` are fields the page has settled: they are sent, and not asked for. */
  constructor(options, places, fixed, onchange, onsubmit) {
    this.fixed = fixed;
    this.options = options;
    const described = new Map(options.fields.map((field) => [field.path, field]));
    described.set("jurisdiction", named(described.get("jurisdiction"), places.map((one) => [one.id, one.name]), { required: true }));
    described.set("price_book", named(described.get("price_book"), books(options), { none: "No prices" }));
    this.fields = GROUPS.flatMap((group) => group.fields)
      .filter((path) => !fixed[path])
      .map((path) => new Field(described.get(path), START[path] ?? first(path, described)));
    this.shape = shapeChoice();
    this.sketch = h("div", {});
    this.added = new Map(GROUPS.filter((group) => group.added).map((group) => [group.key, adder(group)]));
    this.element = h("form", { novalidate: true, "aria-label": "Deck", onchange, onsubmit },
      h("div", { class: "groups" }, GROUPS.map((group) => this.#group(group))),
      h("button", { type: "submit", class: "main" }, "Work it out"));
    this.element.addEventListener("input", () => this.#draw());
    this.element.addEventListener("change", () => this.#ask());
    this.#ask();
  }

  #of(path) {
    return this.fields.find((field) => field.path === path);
  }

  #group(group) {
    const rows = group.fields.map((path) => this.#of(path)?.row).filter(Boolean);
    if (!rows.length) return null;
    const before = group.key === "deck" ? this.shape : null;
    if (group.folded) {
      return h("details", { class: "group", "data-key": group.key }, h("summary", {}, group.title),
        h("fieldset", {}, h("legend", { class: "unseen" }, group.title), rows));
    }
    const tick = this.added.get(group.key);
    if (group.key === "deck") rows.splice(rows.indexOf(this.#of("levels[].outline_ft").row) + 1, 0, this.sketch);
    const inside = h("div", { class: "rows", "data-group": group.key }, before, rows);
    return h("fieldset", { class: "group" }, h("legend", {}, group.title), tick?.row, inside);
  }

  get #chosen() {
    const shape = this.shape.querySelector("input:checked").value;
    return { shape, wall: this.#of("house.wall").control.value };
  }

  #isAsked(field) {
    const group = GROUPS.find((one) => one.fields.includes(field.path));
    return asked(field.path, this.#chosen) && (this.added.get(group.key)?.input.checked ?? true);
  }

  #ask() {
    for (const field of this.fields) field.row.hidden = !asked(field.path, this.#chosen);
    for (const [key, tick] of this.added) {
      this.element.querySelector(`[data-group="${key}"]`).hidden = !tick.input.checked;
    }
    this.#draw();
  }

  /** The outline as typed so far; nothing where it cannot be read. */
  #draw() {
    const [width, projection, outline] = ["width", "projection", "outline"]
      .map((name) => this.#of(`levels[].${name}_ft`).value);
    const corners = this.#chosen.shape === "corners" ? outline : rectangle(width, projection);
    this.sketch.replaceChildren(...outlineSketch(corners, this.#chosen.wall !== "none"));
  }

  get spec() {
    const given = this.fields.filter((field) => this.#isAsked(field)).map((field) => [field.path, field.value]);
    const constants = GROUPS.filter((group) => group.constants && this.added.get(group.key).input.checked)
      .flatMap((group) => Object.entries(group.constants));
    return specOf([...Object.entries(this.fixed), ...given, ...constants], this.currency);
  }

  /** All that stands in the form, as text and ticks; a page may keep it and give it back. */
  get typed() {
    const inputs = [...this.element.querySelectorAll("input, select, textarea")];
    return Object.fromEntries(inputs.map((one) => [keyOf(one), isTicked(one) ? one.checked : one.value]));
  }

  set typed(kept) {
    for (const one of this.element.querySelectorAll("input, select, textarea")) {
      const was = kept[keyOf(one)];
      if (typeof was === "boolean") one.checked = was;
      else if (was !== undefined && (one.tagName !== "SELECT" || [...one.options].some(({ value }) => value === was))) one.value = was;
    }
    for (const field of this.fields) field.tell();
    this.#ask();
  }

  get place() {
    return this.fixed.jurisdiction ?? this.#of("jurisdiction").value;
  }

  get book() {
    return this.fixed.price_book ?? this.#of("price_book").value;
  }

  get currency() {
    return this.options.price_books.find((one) => one.id === this.book)?.currency ?? "USD";
  }

  /** What may be chosen where the place or the price book is another. */
  offer(options) {
    for (const offered of options.fields) {
      const field = this.#of(offered.path);
      if (field && !NAMED.includes(offered.path)) field.offer(offered);
    }
  }

  /** Say at each field what is wrong with it; return the faults with their fields. */
  complain(errors) {
    const asking = this.fields.filter((field) => this.#isAsked(field));
    const found = errors.map((error) => ({ text: sentence(error.detail), field: fieldAt(error.pointer, asking) }));
    for (const field of this.fields) {
      field.complain(found.filter((one) => one.field === field).map((one) => one.text));
      if (found.some((one) => one.field === field)) unfold(field);
    }
    return found;
  }
}

const isTicked = (input) => input.type === "checkbox" || input.type === "radio";
const keyOf = (input) => input.id || `${input.name} ${input.value}`;

const NAMED = ["jurisdiction", "price_book"];

function unfold(field) {
  const folded = field.row.closest("details");
  if (folded) folded.open = true;
}

function named(field, pairs, besides) {
  const choices = pairs.map(([value, label]) => ({ value, label, help: "", allowed_here: true }));
  return { ...field, ...besides, choices };
}

const books = (options) => [...new Set(options.price_books.map((book) => book.id))].map((id) => [id, id]);

const first = (path, described) => (NAMED.includes(path) ? described.get(path).choices[0]?.value : undefined);

const rectangle = (width, out) => [[0, 0], [width, 0], [width, out], [0, out]];

function shapeChoice() {
  return h("div", { class: "shape", role: "radiogroup", "aria-label": "Shape" },
    SHAPES.map(([value, text], at) =>
      h("label", {}, h("input", { type: "radio", name: "shape", value, checked: at === 0 }), text)));
}

function adder(group) {
  const input = h("input", { type: "checkbox", id: `add-${group.key}` });
  return { input, row: h("div", { class: "field ticked" }, input, h("label", { for: input.id }, group.added)) };
}
