// The answer, part by part, in the order a builder reads it.

import { checksPart } from "./checks.js";
import { h } from "./dom.js";
import { drawingsPart } from "./drawings.js";
import { footingsPart } from "./footings.js";
import { framePart } from "./frame.js";
import { jsonPart } from "./json.js";
import { orderPart } from "./order.js";
import { othersPart } from "./others.js";
import { permitsPart } from "./permits.js";
import { cautionsPart, verdictPart } from "./verdict.js";

const PARTS = [verdictPart, framePart, cautionsPart, drawingsPart, checksPart, orderPart, footingsPart, othersPart,
  permitsPart, jsonPart];

/** Every part of an answer; `context` has the spec posted, the names of items, the service, and its pictures. */
export const resultParts = (report, context) => PARTS.map((part) => part(report, context));

/** Why nothing was worked out, each fault leading to its field. */
export function problemPart(refusal, found) {
  const faults = found.map(({ text, field }) => h("li", {}, field
    ? [h("button", { type: "button", class: "link", onclick: () => field.control.focus() }, field.field.label), " "]
    : null, text));
  return h("section", { class: "part verdict bad" },
    h("h2", { tabindex: "-1" }, "Not worked out"),
    faults.length ? h("ul", {}, faults) : h("p", {}, refusal.message));
}
