// Every check, by the member it is of, with the place in the code.

import { h, more, section, table } from "./dom.js";
import { citationText, count, figure, words } from "./words.js";

const HEADS = ["Check", "Is#", "Limit#", "Ratio#", "Holds", "By"];
const LIMIT = { at_most: "at most ", at_least: "at least ", yes_no: "" };

const ratio = (check) => (check.ratio === null ? "–" : check.ratio.toFixed(2));

function cited(citation, service) {
  const text = citationText(citation);
  return citation.table_url ? h("a", { href: service.at(citation.table_url) }, text) : text;
}

function row(check, service) {
  const limit = check.capacity === null ? "–" : LIMIT[check.sense] + figure(check.capacity, check.unit);
  const holds = check.passes ? "yes" : h("strong", { class: "fails" }, "no");
  const instead = check.would_pass ? h("span", { class: "small" }, ` (${check.would_pass} would)`) : null;
  return [words(check.check), figure(check.demand, check.unit), limit, ratio(check), [holds, instead],
    [cited(check.citation, service), check.basis === "calculated" ? " (calculated)" : null]];
}

function member(name, checks, service) {
  const failing = checks.filter((check) => !check.passes).length;
  const worst = checks.reduce((found, check) => Math.max(found, check.ratio ?? 0), 0).toFixed(2);
  const state = failing ? `${failing} of ${checks.length} fail` : `${checks.length} hold, worst ${worst}`;
  const part = more(`checks ${name}`, [h("strong", { class: failing ? "fails" : null }, name), ` ${state}`],
  table(`Checks of ${name}`, HEADS, checks.map((check) => row(check, service))));
  part.open = failing > 0;
  return part;
}

export function checksPart(report, { service }) {
  const members = Map.groupBy(report.checks, (check) => check.member);
  const failing = report.checks.filter((check) => !check.passes).length;
  const told = failing ? `${count(failing, "check")} of ${report.checks.length} fail.`
    : `All ${report.checks.length} checks hold. A ratio of 1.00 is the limit.`;
  return section("checks", "Checks", h("p", {}, told),
    [...members].map(([name, checks]) => member(name, checks, service)));
}
