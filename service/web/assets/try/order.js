// What to buy.

import { h, section, table } from "./dom.js";
import { feet } from "./lengths.js";
import { amount, money, quantity, words } from "./words.js";

const HEADS = ["Item", "Count#", "Each#", "Price#"];
const KINDS = [["stock", "Lumber"], ["decking", "Boards"], ["hardware", "Hardware"], ["concrete", "Concrete"],
  ["groundwork", "Ground"]];

const inWords = (item) => item.split(".").map(words).join(" ");

function row(line, names) {
  const item = names.get(line.item) ?? inWords(line.item);
  return [line.length_ft ? `${item}, ${feet(line.length_ft)}` : item, quantity(line.quantity, line.unit),
    amount(line.unit_price ?? null), line.extended ? amount(line.extended.amount) : "–"];
}

function kind([part, title], takeoff, names) {
  const lines = takeoff[part];
  return lines.length ? table(title, HEADS, lines.map((line) => row(line, names))) : null;
}

function total(takeoff) {
  if (!takeoff.total) return "No prices: choose a price book.";
  const tax = takeoff.total.tax_included ? "tax included" : "before tax";
  const rest = takeoff.total.complete ? "" : " Some items have no price; they are not in it.";
  return `Total ${money(takeoff.total)}, ${tax}.${rest}`;
}

/** Items by their descriptions; of one sold in several lengths, the first one's stands at the end. */
export function itemNames(offered) {
  return new Map(offered.map(({ item, description, lengths_ft: lengths }) =>
    [item, lengths.length ? description.replace(/ [\d.]+ ft$/, "") : description]));
}

export function orderPart(report, { names }) {
  const { takeoff } = report;
  const missing = takeoff.unpriced.map((one) => names.get(one.item) ?? inWords(one.item));
  return section("order", "Order",
    h("p", { class: "total" }, total(takeoff)),
    missing.length ? h("p", {}, `Without a price: ${missing.join(", ")}.`) : null,
    KINDS.map((one) => kind(one, takeoff, names)));
}
