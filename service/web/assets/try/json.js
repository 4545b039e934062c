// The spec posted and the whole answer, to copy.

import { h, section } from "./dom.js";

function copier(text, said) {
  return h("button", { type: "button", onclick: async () => {
    try {
      await navigator.clipboard.writeText(text());
      said.textContent = "Copied.";
    } catch {
      said.textContent = "Not copied: mark the text and copy it by hand.";
    }
  } }, "Copy");
}

// Written out when it is opened: a whole answer is long.
function folded(key, title, value) {
  const text = () => JSON.stringify(value, null, 2);
  const said = h("span", { role: "status", class: "small" });
  const pre = h("pre", { tabindex: "0", "aria-label": title });
  const part = h("details", { "data-key": key }, h("summary", {}, title),
    h("div", { class: "tools" }, copier(text, said), said), pre);
  part.addEventListener("toggle", () => {
    if (part.open && !pre.textContent) pre.textContent = text();
  });
  return part;
}

export function jsonPart(report, { spec, service }) {
  return section("json", "For programs",
    h("p", {}, "Posted to ", h("code", {}, "/v1/designs"), ". ", h("a", { href: service.at("/docs") }, "API reference")),
    folded("spec", "Deck spec as posted", spec), folded("answer", "Answer", report));
}
