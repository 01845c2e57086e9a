// @ts-check
/** Making parts of the page; text never turns into markup. */

const SVG = "http://www.w3.org/2000/svg";
const SVG_TAGS = new Set(["svg", "g", "path", "rect", "line", "text", "circle", "polyline", "title"]);

/**
 * Make an element.
 * @param {string} tag
 * @param {Record<string, any>} [traits] attributes; `on...` are listeners; false and null are left out
 * @param {...(Node | string | number | null | undefined | false)} children
 * @returns {any}
 */
export function el(tag, traits = {}, ...children) {
  const made = SVG_TAGS.has(tag) ? document.createElementNS(SVG, tag) : document.createElement(tag);
  for (const [name, value] of Object.entries(traits)) {
    if (name.startsWith("on")) made.addEventListener(name.slice(2), value);
    else if (value !== false && value !== null && value !== undefined) {
      made.setAttribute(name, value === true ? "" : String(value));
    }
  }
  for (const child of children) {
    if (child !== null && child !== undefined && child !== false) made.append(child instanceof Node ? child : String(child));
  }
  return made;
}

/**
 * Put these children in the place of all others.
 * @param {Element} parent
 * @param {...(Node | string | null | undefined | false)} children
 */
export function fill(parent, ...children) {
  parent.replaceChildren();
  for (const one of children) if (one !== null && one !== undefined && one !== false) parent.append(one);
}

let waiting = 0;

/**
 * Tell those who listen to the page, once things have calmed down.
 * @param {string} words
 */
export function tell(words) {
  clearTimeout(waiting);
  waiting = setTimeout(() => { document.getElementById("told").textContent = words; }, 400);
}

/**
 * Label a field.
 * @param {string} words
 * @param {Element} field
 */
export function labelled(words, field) {
  return el("label", { class: "field" }, el("span", {}, words), field);
}

/**
 * Make a list to choose one from.
 * @param {[string, string][]} options value and words of each
 * @param {string} chosen
 * @param {(value: string) => void} changed
 */
export function choice(options, chosen, changed) {
  const made = el("select", { onchange: () => changed(made.value) });
  for (const [value, words] of options) made.append(el("option", { value, selected: value === chosen }, words));
  return made;
}

/**
 * Hand a file to the reader.
 * @param {Blob} content
 * @param {string} name
 */
export function save(content, name) {
  const address = URL.createObjectURL(content);
  const link = el("a", { href: address, download: name });
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(address), 1000);
}
