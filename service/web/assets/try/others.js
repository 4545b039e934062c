// What else could be built, and what a wish costs.

import { h, list, more, section } from "./dom.js";
import { once, sentence, words } from "./words.js";

function alternative(one) {
  const won = [...one.gains, ...one.gives_up.map((text, at) => (at ? text : `but ${text}`))].join("; ");
  return h("li", {}, h("strong", {}, sentence(one.because)), " ", sentence(one.summary), " ",
    won ? sentence(won) : null,
    one.verdict === "prescriptive" ? null : h("em", {}, ` ${sentence(words(one.verdict))}`));
}

export function othersPart(report) {
  const wishes = report.preference_costs.filter((one) => !one.already);
  return section("others", "What else, and what wishes cost",
    report.alternatives.length ? h("ul", {}, report.alternatives.map(alternative))
      : h("p", {}, "No other frame is better in anything."),
    wishes.length ? more("wishes", `Wishes (${wishes.length})`, list(once(wishes.map((one) => one.text)))) : null);
}
