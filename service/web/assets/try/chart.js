// Ranges as bars, drawn to one scale; the same figures stand in the table beside.

import { svg } from "./dom.js";

const WIDTH = 340;
const STEP = 44;
const BAR = 12;

function bar(row, at, scale, write) {
  const top = at * STEP;
  const low = scale(row.low);
  const high = Math.max(scale(row.high), low + 2);
  const likely = scale(row.likely);
  return svg("g", {},
    svg("text", { x: 0, y: top + 14, class: row.chosen ? "name chosen" : "name" }, row.name + (row.chosen ? " ✓" : "")),
    svg("text", { x: WIDTH, y: top + 14, "text-anchor": "end", class: "value" },
      `${write(row.low)} – ${write(row.high)}`),
    svg("line", { x1: 0, x2: WIDTH, y1: top + 27, y2: top + 27, class: "track" }),
    svg("rect", { x: low, y: top + 21, width: high - low, height: BAR, rx: 2, class: row.chosen ? "bar chosen" : "bar" }),
    svg("line", { x1: likely, x2: likely, y1: top + 18, y2: top + 36, class: "likely" }));
}

/** A picture of low, likely and high of each row, on a scale from nought. */
export function rangeChart(name, title, text, rows, write) {
  const greatest = Math.max(...rows.map((row) => row.high), 1);
  const scale = (value) => (value / greatest) * WIDTH;
  return svg("svg", { viewBox: `-2 0 ${WIDTH + 4} ${rows.length * STEP}`, role: "img", class: "chart",
    "aria-labelledby": `chart-${name}-title chart-${name}-text` },
  svg("title", { id: `chart-${name}-title` }, title),
  svg("desc", { id: `chart-${name}-text` }, text),
  rows.map((row, at) => bar(row, at, scale, write)));
}
