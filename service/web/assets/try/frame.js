// What to build, in a few lines.

import { h, section } from "./dom.js";
import { feetInches, inchesOnly } from "./lengths.js";
import { count, once, words } from "./words.js";

const sum = (numbers) => numbers.reduce((total, one) => total + one, 0);
const longest = (values) => feetInches(Math.max(...values));

function ledger(one) {
  const every = one.spacing_in === null ? "" : ` every ${inchesOnly(one.spacing_in)}`;
  return `${one.size} on ${words(one.lands_on)}, ${one.fastener_count} fasteners${every}, ` +
    `${count(one.lateral_devices.length, "lateral tie")}`;
}

function joists(one) {
  const spans = one.lines.flatMap((line) => line.spans_in);
  const reach = spans.length ? `, span ${longest(spans)}` : "";
  return `${one.count} of ${one.size} ${words(one.species)} at ${inchesOnly(one.spacing_in)}${reach}`;
}

function beam(one) {
  const reach = one.spans_in.length ? `, spans to ${longest(one.spans_in)}` : "";
  return `${one.mark}: ${one.plies} × ${one.size}, ${one.placement}${reach}`;
}

function posts(report) {
  const sizes = [...new Set(report.posts.map((post) => post.size))];
  return sizes.map((size) => {
    const same = report.posts.filter((post) => post.size === size);
    return `${same.length} × ${size}, up to ${longest(same.map((post) => post.height_in))} high`;
  });
}

function footings(report) {
  const kinds = [...new Set(report.footings.map((one) => one.method))];
  return kinds.map((kind) => {
    const same = report.footings.filter((one) => one.method === kind);
    const depth = longest(same.map((one) => one.grade_height_in - one.bottom_height_in));
    return `${same.length} × ${words(kind)}, ${depth} deep`;
  });
}

function guards(report) {
  const runs = report.levels.flatMap((level) => level.guards);
  if (!runs.length) return ["None needed"];
  const set = sum(runs.map((run) => run.posts.length));
  return [`${count(runs.length, "run")}, ${longest(runs.map((run) => run.height_in))} high, ${count(set, "post")}`];
}

function stairs(report) {
  return report.stairs.map((stair) => {
    const risers = sum(stair.flights.map((flight) => flight.risers));
    const each = stair.flights.length ? ` of ${feetInches(stair.flights[0].riser_in)}` : "";
    return `${count(risers, "riser")}${each}${stair.handrail?.required ? ", handrail" : ""}`;
  });
}

const of = (report, part, write) => report.levels.flatMap((level) => level[part]).map(write);

export function framePart(report) {
  const attached = report.attachment.kind === "ledger" ? "Hangs on the house" : "Stands free";
  const rows = [
    ["Support", [`${attached}. ${once(report.attachment.because.map((one) => one.text)).join(" ")}`]],
    ["Ledger", of(report, "ledgers", ledger)],
    ["Joists", of(report, "joists", joists)],
    ["Beams", of(report, "beams", beam)],
    ["Posts", posts(report)],
    ["Footings", footings(report)],
    ["Guards", guards(report)],
    ["Stairs", stairs(report)],
  ].filter(([, lines]) => lines.length);
  return section("built", "Frame", h("dl", {}, rows.map(([name, lines]) =>
    [h("dt", {}, name), lines.map((line) => h("dd", {}, line))])));
}
