// Plan and section as pictures, and the permit package to take along. The service draws; nothing is drawn here.

import { h, section } from "./dom.js";
import { feet, feetInches, inchesOnly } from "./lengths.js";
import { Refusal } from "./service.js";
import { count } from "./words.js";

const SHEETS = [["framing_plan", "Framing plan"], ["section", "Section"]];
const PAPERS = [["letter", "Letter"], ["tabloid", "Tabloid"]];

/** What a picture shows, in words. */
function described(title, report) {
  const level = report.levels[0];
  const sizes = report.resolved_spec.levels[0];
  const size = sizes.width_ft === null ? `${level.area_sqft} sq ft` : `${feet(sizes.width_ft)} by ${feet(sizes.projection_ft)}`;
  const joists = level.joists.map((one) => `${one.count} joists ${one.size} at ${inchesOnly(one.spacing_in)}`);
  const beams = level.beams.map((one) => `beam of ${one.plies} ${one.size}`);
  const rest = [count(report.posts.length, "post"), count(report.footings.length, "footing")];
  const up = `${feetInches(level.clearance.surface_height_in)} above the ground`;
  return `${title} of the deck, ${size}, ${up}: ${[...joists, ...beams, ...rest].join(", ")}.`;
}

async function fill(figure, sheet, title, report, context) {
  try {
    const blob = await context.service.drawing(report.resolved_spec, sheet, "letter", context.signal);
    if (context.signal.aborted) return;
    const address = context.picture(blob);
    const image = h("img", { src: address, alt: described(title, report) });
    const name = title.toLowerCase();
    figure.replaceChildren(image, h("figcaption", {}, title,
      h("a", { href: address, target: "_blank" }, `Open ${name} alone`),
      h("a", { href: address, download: `${sheet}.svg` }, `Save ${name}`)));
  } catch (failure) {
    if (context.signal.aborted) return;
    figure.replaceChildren(h("p", {}, `${title}: the drawing could not be had. ${failure.message}`));
  }
}

function drawing([sheet, title], report, context) {
  const figure = h("figure", { "data-sheet": sheet }, h("p", {}, `${title}: being drawn…`));
  fill(figure, sheet, title, report, context);
  return figure;
}

async function savePackage(report, context, paper, said) {
  said.textContent = "Being set…";
  try {
    const blob = await context.service.permitPackage(report.resolved_spec, paper, context.signal);
    const address = context.picture(blob);
    h("a", { href: address, download: "permit-package.pdf" }).click();
    said.textContent = "Saved as permit-package.pdf.";
  } catch (failure) {
    if (!(failure instanceof Refusal)) return;
    said.textContent = `The package could not be had. ${failure.message}`;
  }
}

export function drawingsPart(report, context) {
  const paper = h("select", { id: "paper" }, PAPERS.map(([value, text]) => h("option", { value }, text)));
  const said = h("span", { role: "status", class: "small" });
  const button = h("button", { type: "button", onclick: () => savePackage(report, context, paper.value, said) },
    "Permit package (PDF)");
  return section("drawings", "Plan and section",
    h("div", { class: "sheets" }, SHEETS.map((sheet) => drawing(sheet, report, context))),
    h("div", { class: "tools" }, h("label", { for: "paper" }, "Paper"), paper, button, said));
}
