// @ts-check
/** Which designs are kept: ranges of columns, shared by all pictures and the table. */

import { el, choice } from "./dom.js";
import { columnWords } from "./designs.js";
import { show } from "./numbers.js";

/** @typedef {import("./designs.js").Designs} Designs */
/** @typedef {import("./designs.js").Column} Column */

export class Filters {
  /** @param {Designs} designs @param {string} text as it stands in the address @param {boolean} meeting */
  constructor(designs, text, meeting) {
    this.designs = designs;
    this.meeting = meeting;
    /** @type {Map<string, [number, number]>} */
    this.ranges = new Map();
    for (const part of text.split(";").filter(Boolean)) {
      const [name, low, high] = part.split("~");
      if (designs.by.has(name)) this.set(name, low ? Number(low) : -Infinity, high ? Number(high) : Infinity);
    }
    this.kept = new Uint8Array(designs.size);
    this.apply();
  }

  /** @param {string} name @param {number} low @param {number} high */
  set(name, low, high) {
    if (Number.isNaN(low) || Number.isNaN(high) || (low === -Infinity && high === Infinity)) this.ranges.delete(name);
    else this.ranges.set(name, [Math.min(low, high), Math.max(low, high)]);
  }

  /** @param {string} name @returns {[number, number]} */
  range(name) {
    return this.ranges.get(name) || [-Infinity, Infinity];
  }

  /** Work out anew which designs are kept. */
  apply() {
    const { kept, designs } = this;
    for (let row = 0; row < designs.size; row += 1) kept[row] = this.meeting && !designs.feasible[row] ? 0 : 1;
    for (const [name, [low, high]] of this.ranges) {
      const { values } = designs.by.get(name);
      for (let row = 0; row < designs.size; row += 1) if (!(values[row] >= low && values[row] <= high)) kept[row] = 0;
    }
    this.count = 0;
    this.met = 0;
    for (let row = 0; row < designs.size; row += 1) {
      this.count += kept[row];
      this.met += kept[row] && designs.feasible[row] ? 1 : 0;
    }
  }

  /** As it stands in the address. */
  toString() {
    const side = (value) => (Number.isFinite(value) ? String(Number(value.toPrecision(6))) : "");
    return Array.from(this.ranges, ([name, [low, high]]) => `${name}~${side(low)}~${side(high)}`).join(";");
  }
}

/**
 * Boxes for the range of every column that is on show, so that each brush can be typed as well.
 * @param {Filters} filters
 * @param {Column[]} columns
 * @param {() => void} changed
 */
export function rangeBoxes(filters, columns, changed) {
  const rows = columns.map((column) => {
    const boxes = column.choices ? choiceBox(filters, column, changed) : numberBoxes(filters, column, changed);
    const clear = el("button", {
      type: "button", "aria-label": `Clear the range of ${column.label}`,
      onclick: () => { filters.set(column.name, -Infinity, Infinity); changed(); },
    }, "Clear");
    return el("tr", {}, el("th", { scope: "row" }, columnWords(column)), ...boxes, el("td", {}, clear));
  });
  const head = ["quantity", "from", "to", ""].map((words) => (words ? el("th", { scope: "col" }, words) : el("td")));
  return el("table", { class: "ranges" }, el("thead", {}, el("tr", {}, ...head)), el("tbody", {}, ...rows));
}

/** @param {Filters} filters @param {Column} column @param {() => void} changed */
function numberBoxes(filters, column, changed) {
  const range = filters.range(column.name);
  return [0, 1].map((side) => {
    const value = range[side];
    const box = el("input", {
      type: "number", step: "any", "aria-label": `${column.label}, ${side ? "to" : "from"}, ${column.unit || "no unit"}`,
      value: Number.isFinite(value) ? Number(value.toPrecision(4)) : null,
      placeholder: show(side ? column.high : column.low),
      onchange: () => {
        const after = filters.range(column.name).slice();
        after[side] = box.value === "" ? (side ? Infinity : -Infinity) : Number(box.value);
        filters.set(column.name, after[0], after[1]);
        changed();
      },
    });
    return el("td", {}, box);
  });
}

/** @param {Filters} filters @param {Column} column @param {() => void} changed */
function choiceBox(filters, column, changed) {
  const [low, high] = filters.range(column.name);
  const inside = column.choices.map((_, place) => place).filter((place) => place >= low && place <= high);
  const chosen = inside.length === column.choices.length ? "" : inside.length === 1 ? String(inside[0]) : "some";
  /** @type {[string, string][]} */
  const options = [["", "any"]];
  column.choices.forEach((word, place) => options.push([String(place), word]));
  if (chosen === "some") options.push(["some", inside.map((place) => column.choices[place]).join(", ") || "none"]);
  const box = choice(options, chosen, (value) => {
    if (value === "") filters.set(column.name, -Infinity, Infinity);
    else if (value !== "some") filters.set(column.name, Number(value), Number(value));
    changed();
  });
  box.setAttribute("aria-label", `${column.label}, keep`);
  return [el("td", { colspan: 2 }, box)];
}
