// The verdict in words, its reasons, and what to mind.

import { h, list, section } from "./dom.js";
import { count, money, once, sentence } from "./words.js";

const SAID = {
  prescriptive: ["good", "Within the tables", "By the tables that were read. That is not an approval."],
  engineer_required: ["warn", "An engineer is needed", "The tables do not cover all of it. Get one before you build."],
  not_permitted: ["bad", "Do not build it like this", "The rules say no to it as it stands."],
};

export function verdictPart(report) {
  const [tone, title, meaning] = SAID[report.verdict.status];
  const reasons = once(report.verdict.reasons.map((reason) => reason.text));
  const rules = `${report.rulebook.id}@${report.rulebook.version}`;
  return h("section", { class: `part verdict ${tone}` },
    h("h2", { tabindex: "-1" }, title),
    h("p", {}, meaning),
    reasons.length ? list(reasons) : null,
    h("p", { class: "small" }, `By ${rules}, ${report.as_of}. Design ${report.design_id}.`));
}

/** The verdict in one line, for the status. */
export function told(report) {
  const cost = report.takeoff.total ? ` Order ${money(report.takeoff.total)}.` : "";
  return `${SAID[report.verdict.status][1]}. ${count(report.footings.length, "footing")}.${cost}`;
}

export function cautionsPart(report) {
  const items = report.cautions.map((caution) =>
    h("li", {}, h("strong", {}, sentence(caution.text)), " ", caution.action ? sentence(caution.action) : null));
  return section("cautions", "Mind this", h("ul", {}, items));
}
