// Feet, inches and fractions, as they stand on a tape.

const SIXTEENTHS = 16;
const NUMBER = String.raw`(?:\d+(?:[\s-]+\d+\/\d+|\.\d+)?|\.\d+|\d+\/\d+)`;
const FEET_THEN_INCHES = new RegExp(String.raw`^(-)?\s*(${NUMBER})\s*'\s*(?:-?\s*(${NUMBER})\s*"?)?$`);
const ONE_NUMBER = new RegExp(String.raw`^(-)?\s*(${NUMBER})\s*("?)$`);

function marked(text) {
  return text.trim().toLowerCase()
    .replace(/[′’‘]|\s*(?:feet|foot|ft)\b\.?/g, "'")
    .replace(/[″”“]|''|\s*(?:inches|inch|in)\b\.?/g, '"')
    .replace(/[–−]/g, "-");
}

function number(text) {
  if (text === undefined) return 0;
  const [whole, fraction] = text.includes("/") ? split(text) : [text, null];
  if (fraction === null) return Number(whole);
  const [over, under] = fraction.split("/").map(Number);
  return under === 0 ? NaN : Number(whole) + over / under;
}

function split(text) {
  const parts = text.split(/[\s-]+/);
  return parts.length === 2 ? parts : ["0", parts[0]];
}

/** What was typed, in feet or inches; null where it cannot be read. A bare number is in the field's own unit. */
export function lengthOf(text, unit) {
  const typed = marked(text);
  const both = FEET_THEN_INCHES.exec(typed);
  const one = ONE_NUMBER.exec(typed);
  const sign = (both ?? one)?.[1] ? -1 : 1;
  const inches = both ? number(both[2]) * 12 + number(both[3])
    : one ? number(one[2]) * (one[3] || unit === "in" ? 1 : 12)
    : NaN;
  if (!Number.isFinite(inches)) return null;
  // a binary fraction of a foot must not turn 16' 4" into 16.33333333333333
  return Number(((sign * inches) / (unit === "ft" ? 12 : 1)).toFixed(6));
}

const divisor = (over, under) => (over % 2 || under === 1 ? [over, under] : divisor(over / 2, under / 2));

function parts(inches) {
  const sixteenths = Math.round(Math.abs(inches) * SIXTEENTHS);
  const whole = Math.floor(sixteenths / SIXTEENTHS);
  const [over, under] = divisor(sixteenths % SIXTEENTHS || SIXTEENTHS, SIXTEENTHS);
  return { sign: inches < 0 && sixteenths ? "-" : "", whole, fraction: under === 1 ? "" : `${over}/${under}` };
}

const joined = (whole, fraction) => (fraction ? (whole ? `${whole} ${fraction}` : fraction) : `${whole}`);

/** 140.25 as 11'-8 1/4"; under a foot without the feet. */
export function feetInches(inches) {
  const { sign, whole, fraction } = parts(inches);
  const feet = Math.floor(whole / 12);
  // a foot mark and a fraction with nothing between them are misread
  const rest = fraction ? `${whole % 12} ${fraction}` : `${whole % 12}`;
  return feet ? `${sign}${feet}'-${rest}"` : `${sign}${joined(whole, fraction)}"`;
}

/** 37.5 as 37 1/2 in: as the tape is read where inches alone are usual. */
export function inchesOnly(inches) {
  const { sign, whole, fraction } = parts(inches);
  return `${sign}${joined(whole, fraction)} in`;
}

export const feet = (value) => feetInches(value * 12);
