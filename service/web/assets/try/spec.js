// From fields to a deck spec, and from a problem's pointers back to fields.

const steps = (path) => path.replaceAll("[]", ".0").split(".");

/** The place of a field in the spec as a JSON Pointer; the form has one level, one stair, one tub. */
export const pointerOf = (path) => `/${steps(path).join("/")}`;

function put(spec, path, value) {
  const way = steps(path);
  let at = spec;
  way.forEach((step, index) => {
    if (index === way.length - 1) at[step] = value;
    else at = at[step] ??= way[index + 1] === "0" ? [] : {};
  });
}

/** A deck spec of paths and values; what is not given is left out. */
export function specOf(values, currency) {
  const spec = {};
  for (const [path, value] of values) if (value !== undefined) put(spec, path, value);
  if (spec.crew) spec.crew.currency = currency;
  return spec;
}

/** The field a fault belongs to: the one named, the one it lies in, or the first inside what is named. */
export function fieldAt(pointer, fields) {
  for (let at = pointer; at; at = at.slice(0, at.lastIndexOf("/"))) {
    const found = fields.find((field) => field.pointer === at);
    if (found) return found;
  }
  return pointer ? fields.find((field) => field.pointer.startsWith(`${pointer}/`)) ?? null : null;
}
