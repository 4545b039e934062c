// Elements are made here and nowhere else. What comes from outside is only ever text or an attribute's value.

const SVG = "http://www.w3.org/2000/svg";

function filled(element, attributes, children) {
  for (const [name, value] of Object.entries(attributes)) {
    if (name.startsWith("on")) element.addEventListener(name.slice(2), value);
    else if (value === true) element.setAttribute(name, "");
    else if (value !== false && value !== null && value !== undefined) element.setAttribute(name, value);
  }
  element.append(...children.flat(3).filter((child) => child !== null && child !== undefined && child !== false));
  return element;
}

export const h = (tag, attributes = {}, ...children) =>
  filled(document.createElement(tag), attributes, children);

export const svg = (tag, attributes = {}, ...children) =>
  filled(document.createElementNS(SVG, tag), attributes, children);

export const list = (texts, attributes = {}) => h("ul", attributes, texts.map((text) => h("li", {}, text)));

// A table that may be wider than the screen scrolls by itself, with the keyboard too.
export function table(caption, heads, rows) {
  const head = h("tr", {}, heads.map((text) => h("th", { scope: "col", class: kind(text) }, bare(text))));
  const body = rows.map((cells) =>
    h("tr", {}, cells.map((cell, at) =>
      at === 0 ? h("th", { scope: "row" }, cell) : h("td", { class: kind(heads[at]) }, cell))));
  return h("div", { class: "wide", role: "region", tabindex: "0", "aria-label": caption },
    h("table", {}, h("caption", {}, caption), h("thead", {}, head), h("tbody", {}, body)));
}

// A heading that ends in "#" heads a column of figures.
const kind = (head) => (head.endsWith("#") ? "figure" : null);
const bare = (head) => head.replace(/#$/, "");

export const more = (key, title, ...children) =>
  h("details", { "data-key": key }, h("summary", {}, title), children);

export const section = (name, title, ...children) =>
  h("section", { class: `part ${name}`, "aria-labelledby": `title-${name}` },
    h("h3", { id: `title-${name}` }, title), children);
