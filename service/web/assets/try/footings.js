// Ways to make the footings, side by side.

import { rangeChart } from "./chart.js";
import { h, list, section, table } from "./dom.js";
import { amount, count, once, sentence, words } from "./words.js";

const HEADS = ["Method", "Cost low#", "likely#", "high#", "Framing on day#", "Mind"];

const name = (one) => words(one.method).replace(/^./, (letter) => letter.toUpperCase());
const span = (days) => (days.low === days.high ? `${days.likely}` : `${days.likely} (${days.low} to ${days.high})`);

function row(one) {
  if (!one.feasible) return [name(one), "–", "–", "–", "–", `Not here: ${one.why_not.map((why) => sentence(why.text)).join(" ")}`];
  const cost = one.cost ? ["low", "likely", "high"].map((part) => amount(one.cost[part])) : ["–", "–", "–"];
  const high = one.risks.filter((risk) => risk.severity === "high");
  return [name(one), ...cost, one.schedule ? span(one.schedule.first_framing_working_day) : "–",
    high.length ? once(high.map((risk) => risk.text)).join(" ") : "–"];
}

const ranges = (methods, of, chosen) => methods.map((one) => {
  const { low, likely, high } = of(one);
  return { name: name(one), low: Number(low), likely: Number(likely), high: Number(high), chosen: one.method === chosen };
});

function costs(methods, chosen) {
  const rows = ranges(methods, (one) => one.cost, chosen);
  const unit = methods[0].cost.currency;
  const text = rows.map((one) => `${one.name}: likely ${Math.round(one.likely)}`).join("; ");
  return h("figure", {}, h("figcaption", {}, `Cost in ${unit}, low to high; the mark is the likely one`),
    rangeChart("cost", `Cost of each method in ${unit}`, text, rows, (value) => amount(String(Math.round(value)))));
}

function days(methods, chosen) {
  const rows = ranges(methods, (one) => one.schedule.first_framing_working_day, chosen);
  const text = rows.map((one) => `${one.name}: likely day ${one.likely}`).join("; ");
  return h("figure", {}, h("figcaption", {}, "First working day of framing, early to late"),
    rangeChart("days", "First day of framing with each method", text, rows, (value) => `${value}`));
}

export function footingsPart(report) {
  const { methods, recommended, because } = report.footing_comparison;
  const priced = methods.filter((one) => one.feasible && one.cost);
  const dated = methods.filter((one) => one.feasible && one.schedule);
  const said = recommended ? `Recommended: ${words(recommended)}, marked ✓.`
    : `No method is recommended. ${count(dated.length, "method")} can be built.`;
  return section("footings", "Footings compared", h("p", {}, said),
    h("div", { class: "charts" }, priced.length ? costs(priced, recommended) : null,
      dated.length ? days(dated, recommended) : null),
    table("Footing methods", HEADS, methods.map(row)),
    because.length ? h("details", { "data-key": "because" }, h("summary", {}, "Why"), list(once(because))) : null);
}
