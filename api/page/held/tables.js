// @ts-check
/** Tables of a report. */

import { el } from "./dom.js";

/**
 * @typedef {{name: string, unit: string, numeric: boolean}} Head
 * @typedef {{name: string, title: string, remark: string, labels: number, heads: Head[],
 *   rows: string[][], numbers: (number | null)[][]}} Section
 */

/**
 * Head of a column: its name, and under it the unit.
 * @param {string} name
 * @param {string} unit
 */
export function headWords(name, unit) {
  return [name, unit ? el("span", { class: "unit" }, `[${unit}]`) : null];
}

/**
 * Colour of a verdict, which its words say as well.
 * @param {string} words
 */
export function verdictClass(words) {
  return ["misses", "active", "meets"].find((one) => words.startsWith(one)) || "";
}

/**
 * What may be wider than the page, and can then be moved by keys.
 * @param {string} title
 * @param {Element} table
 */
export function scrolled(title, table) {
  const made = el("div", { class: "scroll", role: "region", "aria-label": title, tabindex: 0 }, table);
  return made;
}

/**
 * @param {Section} section
 * @returns {HTMLElement}
 */
export function sectionTable(section) {
  const heads = section.heads.map((head, place) => el(
    "th", { scope: "col", class: numberClass(head, place, section) }, ...headWords(head.name, head.unit)));
  const rows = section.rows.map((row) => el("tr", {}, ...row.map((text, place) => cell(text, place, section))));
  const table = el("table", {},
    section.remark ? el("caption", {}, section.remark) : null,
    el("thead", {}, el("tr", {}, ...heads)), el("tbody", {}, ...rows));
  return scrolled(section.title, table);
}

/** Letters up to which a cell is not folded. */
const SHORT = 24;

/** @param {Head} head @param {number} place @param {Section} section */
function numberClass(head, place, section) {
  return head.numeric && place >= section.labels ? "number" : null;
}

/** @param {string} text @param {number} place @param {Section} section */
function cell(text, place, section) {
  if (place < section.labels) return el("th", { scope: "row" }, text);
  const kind = verdictClass(text) || numberClass(section.heads[place], place, section) || (text.length <= SHORT ? "whole" : "words");
  return el("td", { class: kind }, text);
}

/**
 * A titled section.
 * @param {Section} section
 */
export function titled(section) {
  return el("section", {}, el("h2", {}, section.title), sectionTable(section));
}
