// One field of the form: a control with its label, its help, and room for what is wrong with it.

import { cornersOf, cornersText } from "./corners.js";
import { h } from "./dom.js";
import { feetInches, inchesOnly, lengthOf } from "./lengths.js";
import { pointerOf } from "./spec.js";
import { sentence } from "./words.js";

const UNITS = { ft: "feet", in: "inches", lb: "pounds", psf: "psf", in_per_ft: "inches a foot" };
const isLength = (field) => field.unit === "ft" || field.unit === "in";

// How a field of this kind is typed here; what it means is the service's to say.
const HOW = { points: "One corner a line: along the house, then out from it" };

/** Help of the wire in a form's words: what is null there is left blank here. */
const forPeople = (help) => help.replace(/\bnull:/g, "blank:").replace(/; @n pins a version/, "");

function control(field, id) {
  if (field.choices.length) return h("select", { id }, choicesOf(field));
  if (field.kind === "yes_no") return h("input", { id, type: "checkbox" });
  if (field.kind === "points") return h("textarea", { id, rows: "5", spellcheck: "false" });
  if (field.kind === "date") return h("input", { id, type: "date" });
  // feet, inches and fractions need the whole keyboard
  const mode = isLength(field) ? "text" : "decimal";
  return h("input", { id, type: "text", inputmode: mode, autocomplete: "off" });
}

function choicesOf(field) {
  const none = field.default === null && !field.required
    ? [h("option", { value: "" }, field.none ?? "Chosen for you")] : [];
  return [...none, ...field.choices.map((choice) =>
    h("option", { value: choice.value, disabled: choice.allowed_here === false },
      choice.allowed_here === false ? `${choice.label} (not here)` : choice.label))];
}

const READ = {
  points: (text) => cornersOf(text),
  number: (text, field) => (isLength(field) ? lengthOf(text, field.unit) : plain(text)) ?? text,
  whole_number: (text) => plain(text) ?? text,
};

const plain = (text) => (/^-?\d*\.?\d+$/.test(text) ? Number(text) : null);

function shown(value, field) {
  if (field.kind === "points") return cornersText(value);
  if (field.unit === "ft") return feetInches(value * 12);
  return field.unit === "in" ? inchesOnly(value).replace(" in", "") : String(value);
}

export class Field {
  constructor(field, start) {
    this.path = field.path;
    this.pointer = pointerOf(field.path);
    this.id = `f${this.pointer.replaceAll(/[^a-z0-9]+/gi, "-")}`;
    this.field = field;
    this.control = control(field, this.id);
    this.echo = h("span", { class: "echo" });
    this.hint = h("p", { class: "hint", id: `${this.id}-hint` });
    this.wrong = h("p", { class: "wrong", id: `${this.id}-wrong`, hidden: true });
    this.row = this.#row();
    this.control.setAttribute("aria-describedby", this.hint.id);
    this.show(start ?? field.default);
    this.control.addEventListener("input", () => this.tell());
  }

  #row() {
    const unit = UNITS[this.field.unit];
    const name = unit && this.field.kind !== "points" ? `${this.field.label} (${unit})` : this.field.label;
    const label = h("label", { for: this.id }, name);
    const ticked = this.field.kind === "yes_no";
    return h("div", { class: ticked ? "field ticked" : "field" },
      ticked ? [this.control, label] : [h("div", { class: "named" }, label, this.echo), this.control],
      this.wrong, this.hint);
  }

  /** What was typed, as the spec takes it; undefined where nothing was. What cannot be read goes as it is. */
  get value() {
    if (this.field.kind === "yes_no") return this.control.checked;
    const text = this.control.value.trim();
    if (text === "") return undefined;
    return (READ[this.field.kind] ?? ((given) => given))(text, this.field);
  }

  show(value) {
    if (this.field.kind === "yes_no") this.control.checked = Boolean(value);
    else this.control.value = value === null || value === undefined ? "" :
      this.field.choices.length ? value : shown(value, this.field);
    this.tell();
  }

  /** Take the words a place allows, and keep what was chosen. */
  offer(field) {
    if (!field.choices.length) return;
    const chosen = this.control.value;
    this.field = field;
    this.control.replaceChildren(...choicesOf(field));
    this.control.value = chosen;
    this.tell();
  }

  tell() {
    const choice = this.field.choices.find((one) => one.value === this.control.value);
    this.hint.textContent = [HOW[this.field.kind], forPeople(this.field.help), choice?.help ?? ""]
      .filter(Boolean).map(sentence).join(" ");
    const value = isLength(this.field) && this.field.kind !== "points" ? this.value : undefined;
    const read = typeof value === "number" ? feetInches(value * (this.field.unit === "ft" ? 12 : 1)) : "";
    this.echo.textContent = read && ![read, read.replace('"', "")].includes(this.control.value) ? `= ${read}` : "";
  }

  complain(texts) {
    this.wrong.replaceChildren(...texts.map((text) => h("span", {}, text)));
    this.wrong.hidden = texts.length === 0;
    if (texts.length) this.control.setAttribute("aria-invalid", "true");
    else this.control.removeAttribute("aria-invalid");
    this.control.setAttribute("aria-describedby",
      texts.length ? `${this.wrong.id} ${this.hint.id}` : this.hint.id);
  }
}
