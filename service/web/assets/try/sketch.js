// The outline from above, its edges numbered as the service numbers them.

import { svg } from "./dom.js";

const WIDTH = 300;
const HEIGHT = 170;
const MARGIN = 10;

const isReadable = (corners) => Array.isArray(corners) && corners.length > 2 && corners.every((corner) =>
  corner.length === 2 && corner.every((value) => typeof value === "number" && Math.abs(value) <= 300));

function fitted(corners) {
  const [xs, ys] = [0, 1].map((axis) => corners.map((corner) => corner[axis]));
  const [left, top] = [Math.min(...xs), Math.min(...ys, 0)];
  const scale = Math.min((WIDTH - 2 * MARGIN) / Math.max(Math.max(...xs) - left, 1),
    (HEIGHT - 2 * MARGIN) / Math.max(Math.max(...ys) - top, 1));
  return { scale, at: ([x, y]) => [MARGIN + (x - left) * scale, MARGIN + (y - top) * scale] };
}

/** Twice the area inside; more than nought where the corners go with the clock. */
const turn = (points) => points.reduce((sum, [x, y], at) => {
  const [nextX, nextY] = points[(at + 1) % points.length];
  return sum + x * nextY - nextX * y;
}, 0);

/** An edge's number beside its middle, inside the deck. */
function number(edge, from, to, inwards) {
  const [dx, dy] = [to[0] - from[0], to[1] - from[1]];
  const aside = (inwards * 12) / (Math.hypot(dx, dy) || 1);
  return svg("text", { x: (from[0] + to[0]) / 2 - dy * aside, y: (from[1] + to[1]) / 2 + dx * aside }, String(edge));
}

/** A list with the sketch, or with nothing where corners cannot be read. */
export function outlineSketch(corners, hasHouse) {
  if (!isReadable(corners)) return [];
  const { at } = fitted(corners);
  const drawn = corners.map(at);
  const house = at([0, 0])[1];
  const inwards = Math.sign(turn(drawn));
  const label = `The deck from above${hasHouse ? ", house at the top" : ""}; ${corners.length} edges, numbered from 0`;
  return [svg("svg", { class: "sketch", viewBox: `0 0 ${WIDTH} ${HEIGHT}`, role: "img", "aria-label": label },
    svg("polygon", { points: drawn.map((point) => point.join(",")).join(" ") }),
    hasHouse ? svg("line", { x1: 0, x2: WIDTH, y1: house - 4, y2: house - 4 }) : null,
    drawn.map((point, edge) => number(edge, point, drawn[(edge + 1) % drawn.length], inwards)))];
}
