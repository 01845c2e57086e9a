// @ts-check
/** Bars and curves of a design sheet. */

import { el } from "./dom.js";
import { show, ticks } from "./numbers.js";
import { scrolled } from "./tables.js";

const NAME = 190;
const WIDTH = 760;
const BAR = 26;

/**
 * Lay parts of each row end to end; parts below zero go the other way.
 * @param {string} title
 * @param {string} unit
 * @param {string[]} names one a row
 * @param {{name: string, values: (number | null)[]}[]} parts
 * @returns {HTMLElement}
 */
export function stackedBars(title, unit, names, parts) {
  const sums = names.map((_, row) => ends(parts.map((part) => part.values[row] || 0)));
  const low = Math.min(0, ...sums.map(([under]) => under));
  const high = Math.max(0, ...sums.map(([, over]) => over)) || 1;
  const x = (value) => NAME + (WIDTH - NAME - 70) * (value - low) / (high - low);
  const height = names.length * BAR + 26;
  const rows = names.map((name, row) => el("g", {}, rowName(name, row), ...pieces(parts, row, x, unit), total(parts, row, sums, x)));
  const picture = el("svg", { class: "bars", viewBox: `0 0 ${WIDTH} ${height}`, role: "img", "aria-label": `${title} [${unit}], as in the table below` },
    ...grid(low, high, x, height), ...rows);
  return el("figure", {}, parts.length > 1 ? legend(parts) : null, scrolled(`Picture: ${title}`, picture), el("figcaption", {}, `${title} [${unit}]`));
}

/** @param {number[]} values @returns {[number, number]} */
function ends(values) {
  return [values.filter((one) => one < 0).reduce((sum, one) => sum + one, 0), values.filter((one) => one > 0).reduce((sum, one) => sum + one, 0)];
}

/** @param {string} name @param {number} row */
function rowName(name, row) {
  return el("text", { x: NAME - 8, y: row * BAR + 17, "text-anchor": "end" }, name);
}

/** @param {{name: string, values: (number | null)[]}[]} parts @param {number} row @param {(value: number) => number} x @param {string} unit */
function pieces(parts, row, x, unit) {
  let up = 0;
  let down = 0;
  return parts.map((part, place) => {
    const value = part.values[row] || 0;
    const from = value < 0 ? (down += value) : up;
    if (value > 0) up += value;
    return el("rect", { class: `bar-${place % 8 + 1}`, x: x(from), y: row * BAR + 4, width: Math.max(0, x(from + Math.abs(value)) - x(from)), height: BAR - 8 },
      el("title", {}, `${part.name}: ${show(value)} ${unit}`));
  });
}

/** @param {{values: (number | null)[]}[]} parts @param {number} row @param {[number, number][]} sums @param {(value: number) => number} x */
function total(parts, row, sums, x) {
  const sum = parts.reduce((all, part) => all + (part.values[row] || 0), 0);
  return el("text", { x: x(sums[row][1]) + 6, y: row * BAR + 17, class: "quiet-text" }, show(sum));
}

/** @param {number} low @param {number} high @param {(value: number) => number} x @param {number} height */
function grid(low, high, x, height) {
  return ticks(low, high, 6).flatMap((value) => [
    el("line", { class: value === 0 ? "zero" : "grid", x1: x(value), x2: x(value), y1: 0, y2: height - 22 }),
    el("text", { x: x(value), y: height - 5, "text-anchor": "middle", class: "quiet-text" }, show(value)),
  ]);
}

/** @param {{name: string}[]} parts @param {(place: number) => Element} [mark] @param {number} [wide] */
export function legend(parts, mark = (place) => el("rect", { width: 16, height: 16, class: `bar-${place % 8 + 1}` }), wide = 16) {
  return el("ul", { class: "legend" }, ...parts.map((part, place) => el("li", {},
    el("svg", { viewBox: `0 0 ${wide} 16`, class: wide > 16 ? "wide" : null, "aria-hidden": "true" }, mark(place)), part.name)));
}

/** Marks that differ in shape as well as in colour, around the middle of a square of 16. */
const SHAPES = ["M2 8a6 6 0 1 0 12 0a6 6 0 1 0-12 0z", "M3 3h10v10h-10z", "M8 1l7 7l-7 7l-7-7z", "M8 2l6.500 11.500h-13z"];

/** @param {number} place */
function shape(place) {
  return el("path", { d: SHAPES[place % SHAPES.length], class: `dot bar-${place % 8 + 1}` });
}

/**
 * Numbers beside each other, a row each, where a sum of them would mean nothing.
 * @param {string} title
 * @param {string} unit
 * @param {string[]} names one a row
 * @param {{name: string, values: (number | null)[]}[]} parts
 */
export function dotRows(title, unit, names, parts) {
  const found = parts.flatMap((part) => part.values).filter((one) => one !== null);
  const [low, high] = extent(found);
  const room = 0.05 * (high - low);
  const x = (value) => NAME + (WIDTH - NAME - 40) * (value - low + room) / (high - low + 2 * room);
  const height = names.length * BAR + 26;
  const dots = parts.flatMap((part, place) => part.values.map((value, row) => (value === null ? null
    : el("g", { transform: `translate(${x(value) - 8} ${row * BAR + 5})` }, shape(place), el("title", {}, `${names[row]}, ${part.name}: ${show(value)} ${unit}`)))));
  const picture = el("svg", { class: "bars", viewBox: `0 0 ${WIDTH} ${height}`, role: "img", "aria-label": `${title} [${unit}], as in the table below` },
    ...grid(low, high, x, height), ...names.map(rowName), ...dots);
  return el("figure", {}, legend(parts, shape), scrolled(`Picture: ${title}`, picture), el("figcaption", {}, `${title} [${unit}]`));
}

/**
 * Curves over one axis.
 * @param {{title: string, x: {name: string, unit: string}, y: {name: string, unit: string},
 *   lines: {name: string, x: (number | null)[], y: (number | null)[], bound: boolean}[]}} picture
 */
export function curves(picture) {
  const box = { width: 520, height: 300, left: 62, right: 14, top: 12, bottom: 46 };
  const [xs, ys] = ["x", "y"].map((axis) => extent(picture.lines.flatMap((line) => line[axis])));
  const x = (value) => box.left + (box.width - box.left - box.right) * (value - xs[0]) / (xs[1] - xs[0]);
  const y = (value) => box.height - box.bottom - (box.height - box.top - box.bottom) * (value - ys[0]) / (ys[1] - ys[0]);
  const made = el("svg", { class: "bars", viewBox: `0 0 ${box.width} ${box.height}`, role: "img", "aria-label": picture.title });
  for (const value of ticks(xs[0], xs[1], 6)) {
    made.append(el("line", { class: "grid", x1: x(value), x2: x(value), y1: box.top, y2: box.height - box.bottom }),
      el("text", { x: x(value), y: box.height - box.bottom + 17, "text-anchor": "middle", class: "quiet-text" }, show(value)));
  }
  for (const value of ticks(ys[0], ys[1], 5)) {
    made.append(el("line", { class: "grid", x1: box.left, x2: box.width - box.right, y1: y(value), y2: y(value) }),
      el("text", { x: box.left - 6, y: y(value) + 4, "text-anchor": "end", class: "quiet-text" }, show(value)));
  }
  picture.lines.forEach((line, place) => made.append(strand(line, place, x, y)));
  made.append(el("text", { x: (box.left + box.width) / 2, y: box.height - 8, "text-anchor": "middle" }, axisWords(picture.x)),
    el("text", { transform: `translate(14 ${(box.height - box.bottom) / 2}) rotate(-90)`, "text-anchor": "middle" }, axisWords(picture.y)));
  return el("figure", {}, el("h3", {}, picture.title), legend(picture.lines, (place) => sample(picture.lines[place], place), 40), made);
}

/** @param {{name: string, unit: string}} axis */
function axisWords(axis) {
  return axis.unit ? `${axis.name} [${axis.unit}]` : axis.name;
}

/** Bounds are dashed, each in its own way, so that colour alone tells nothing. @param {any} line @param {number} place */
function dashes(line, place) {
  return line.bound ? ["9 4", "3 3", "12 3 3 3", "2 5", "7 2 2 2 2 2"][place % 5] : [null, "14 2", "1 2"][place % 3];
}

/** @param {any} line @param {number} place */
function sample(line, place) {
  return el("path", { class: `curve line-${place % 8 + 1}`, d: "M0 8H40", "stroke-dasharray": dashes(line, place) });
}

/** @param {any} line @param {number} place @param {(value: number) => number} x @param {(value: number) => number} y */
function strand(line, place, x, y) {
  let open = false;
  const steps = line.x.map((value, at) => {
    if (value === null || line.y[at] === null) { open = false; return ""; }
    const step = `${open ? "L" : "M"}${x(value).toFixed(1)} ${y(line.y[at]).toFixed(1)}`;
    open = true;
    return step;
  });
  return el("path", { class: `curve line-${place % 8 + 1}`, d: steps.join(""), "stroke-dasharray": dashes(line, place) });
}

/** @param {(number | null)[]} values @returns {[number, number]} */
function extent(values) {
  const found = values.filter((one) => one !== null && Number.isFinite(one));
  const [low, high] = [Math.min(...found), Math.max(...found)];
  return high > low ? [low, high] : [low - 1, low + 1];
}
