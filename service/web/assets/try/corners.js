// The corners of an outline: a line each, along the house and out from it.

import { feet, lengthOf } from "./lengths.js";

const cell = (text) => lengthOf(text, "ft") ?? text.trim();

/** Corners of a text; what cannot be read stays a text, so that the service names the corner. */
export function cornersOf(text) {
  const lines = text.split(/[\n;]+/).map((line) => line.trim()).filter(Boolean);
  return lines.map((line) => line.split(",").map(cell));
}

export const cornersText = (corners) => corners.map((corner) => corner.map(feet).join(", ")).join("\n");
