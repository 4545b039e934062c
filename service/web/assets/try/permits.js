// Permits, inspections in order, and what a reviewer may ask.

import { h, list, more, section } from "./dom.js";
import { once, sentence, words } from "./words.js";

export function permitsPart(report) {
  const { permits, inspections, drawings_needed: drawings, reviewer_questions: questions } = report.permits;
  return section("permits", "Permits and inspections",
    list(permits.map((one) => `${sentence(words(one.kind))} ${sentence(one.text)}`)),
    h("ol", {}, inspections.map((one) => h("li", {}, h("strong", {}, sentence(words(one.kind))), " ",
      `${sentence(one.when)} Looks at: ${one.looks_at.join(", ")}.`))),
    more("asked", "What else a reviewer asks for", list(once(drawings)), list(questions)));
}
