// How words and figures of the wire are shown.

import { feetInches } from "./lengths.js";

export const words = (code) => String(code).replaceAll("_", " ");

/** A text as a sentence; a member's id at its start stays as it is. */
export function sentence(text) {
  const trimmed = String(text).trim();
  const isWord = /^\p{L}+$/u.test(trimmed.split(" ")[0]);
  const begun = isWord ? trimmed.charAt(0).toUpperCase() + trimmed.slice(1) : trimmed;
  return /[.!?]$/.test(begun) ? begun : `${begun}.`;
}

const grouped = (text) => {
  const [whole, cents] = String(text).split(".");
  const spaced = whole.replace(/\B(?=(\d{3})+$)/g, ",");
  return cents === undefined ? spaced : `${spaced}.${cents}`;
};

export const money = (one) => (one ? `${grouped(one.amount)} ${one.currency}` : "not known");
export const amount = (text) => (text === null ? "–" : grouped(text));
export const count = (number, one, many = `${one}s`) => `${number} ${number === 1 ? one : many}`;

const UNITS = { ft_lb: "ft-lb", lb_ft: "lb-ft", sqft: "sq ft", cuft: "cu ft", cuyd: "cu yd", lineal_ft: "ft" };
const UNSAID = [null, undefined, "each", "piece"];

/** A unit after its figure; nothing where things are simply counted. */
const unit = (code) => (UNSAID.includes(code) ? "" : ` ${UNITS[code] ?? words(code)}`);
export const quantity = (value, code) => `${grouped(String(value))}${unit(code)}`;

/** A figure of a check with its unit; lengths as on the tape. */
export function figure(value, code) {
  if (value === null) return "–";
  if (code === "in") return feetInches(value);
  return code === "ft" ? feetInches(value * 12) : quantity(value, code);
}

const HOW_KNOWN = {
  common_practice: "common practice", own_convention: "our own convention", memory: "from memory",
  second_hand: "second hand",
};

/** Document, edition, table or section, and how well it is known where that is less than well. */
export function citationText(citation) {
  const place = citation.table ?? citation.section;
  const known = HOW_KNOWN[citation.status];
  const said = [citation.document, citation.edition, place].filter((part) => part !== null && part !== "");
  return said.join(" ") + (known ? ` (${known})` : "");
}

/** Texts once each: one sentence may hold for many members. */
export const once = (texts) => [...new Set(texts.map(sentence))];
