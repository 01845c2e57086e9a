// @ts-check
/** The designs that are kept as a table, a page at a time. */

import { BASELINE, MOST_PICKS, partAddress, picks, remember, state, togglePick } from "./address.js";
import { columnWords, tightest, valueWords } from "./designs.js";
import { here } from "./address.js";
import { el, fill, tell } from "./dom.js";
import { count, show } from "./numbers.js";
import { headWords, scrolled, verdictClass } from "./tables.js";

/** @typedef {import("./designs.js").Designs} Designs */
/** @typedef {import("./designs.js").Column} Column */

const PAGE = 25;

export class DesignTable {
  /**
   * @param {Designs} designs
   * @param {import("./filters.js").Filters} filters
   * @param {() => void} picked
   */
  constructor(designs, filters, picked) {
    this.designs = designs;
    this.filters = filters;
    this.picked = picked;
    const [name, way] = (state().get("sort") || "").split("~");
    this.sort = designs.by.has(name) ? name : designs.columns[1].name;
    this.down = way ? way === "down" : designs.by.get(this.sort).wanted === "highest";
    this.page = 0;
    this.node = el("div");
  }

  /** @param {Column[]} columns */
  show(columns) {
    this.columns = columns;
    this.page = 0;
    this.draw();
  }

  /** Rows that are kept, the front before all others, in the wanted order. */
  order() {
    const { values } = this.designs.by.get(this.sort);
    const sign = this.down ? -1 : 1;
    const rows = Array.from(this.filters.kept.keys()).filter((row) => this.filters.kept[row]);
    const group = (row) => (this.designs.front[row] ? 0 : this.designs.feasible[row] ? 1 : 2);
    return rows.sort((one, other) => group(one) - group(other) || sign * (values[one] - values[other]) || one - other);
  }

  draw() {
    const rows = this.order();
    const pages = Math.max(1, Math.ceil(rows.length / PAGE));
    this.page = Math.min(this.page, pages - 1);
    const shown = rows.slice(this.page * PAGE, (this.page + 1) * PAGE);
    const chosen = picks();
    const table = el("table", {}, el("caption", {}, "The front first, then other designs that meet every limit, then those that miss one."),
      el("thead", {}, el("tr", {}, el("th", { scope: "col" }, "pick"), this.head(this.designs.columns[0]), el("th", { scope: "col" }, "verdict"),
        el("th", { scope: "col" }, "tightest limit"), el("th", { scope: "col" }, "on the front"), ...this.columns.map((one) => this.head(one)))),
      el("tbody", {}, ...shown.map((row) => this.row(row, chosen))));
    fill(this.node, scrolled("Designs", table), this.pager(rows.length, pages));
  }

  /** @param {Column} column */
  head(column) {
    const sorted = column.name === this.sort ? (this.down ? "descending" : "ascending") : null;
    const label = column.role === "limit" ? `left to ${column.label}` : column.label;
    const button = el("button", { type: "button", onclick: () => this.resort(column.name) }, label);
    return el("th", { scope: "col", class: column.choices ? null : "number", "aria-sort": sorted }, button, headWords("", column.unit)[1]);
  }

  /** @param {string} name */
  resort(name) {
    this.down = this.sort === name ? !this.down : this.designs.by.get(name).wanted === "highest";
    this.sort = name;
    this.page = 0;
    remember({ sort: `${name}~${this.down ? "down" : "up"}` });
    tell(`sorted by ${columnWords(this.designs.by.get(name))}, ${this.down ? "the largest" : "the smallest"} first`);
    this.draw();
    /** @type {HTMLElement | null} */ (this.node.querySelector("th[aria-sort] button"))?.focus();
  }

  /** @param {number} row @param {number[]} chosen */
  row(row, chosen) {
    const number = this.designs.numbers[row];
    const { name, words } = tightest(this.designs, row);
    const isPicked = chosen.includes(number);
    const toggle = number === BASELINE ? "" : el("input", { type: "checkbox", "data-pick": number, "aria-label": `Pick design ${number}`, checked: isPicked,
      disabled: !isPicked && chosen.length >= MOST_PICKS, onchange: () => this.toggle(number) });
    return el("tr", { class: isPicked ? "picked" : null }, el("td", {}, toggle),
      el("th", { scope: "row", class: "number" }, el("a", { href: partAddress(here().run, "designs", number) }, number ? String(number) : "0, baseline")),
      el("td", { class: verdictClass(words) }, words), el("td", { class: "whole" }, name), el("td", {}, this.designs.front[row] ? "yes" : ""),
      ...this.columns.map((one) => el("td", { class: one.choices ? null : "number" }, valueWords(one, row, show))));
  }

  /** @param {number} number */
  toggle(number) {
    tell(togglePick(number));
    this.draw();
    /** @type {HTMLElement | null} */ (this.node.querySelector(`[data-pick="${number}"]`))?.focus();
    this.picked();
  }

  /** @param {number} many @param {number} pages */
  pager(many, pages) {
    const from = many ? this.page * PAGE + 1 : 0;
    const turn = (step, words, off) => el("button", { type: "button", disabled: off, onclick: () => { this.page += step; this.draw(); } }, words);
    return el("div", { class: "row" }, turn(-1, "Page before", this.page === 0),
      el("span", {}, `${count(from)} to ${count(Math.min(from + PAGE - 1, many))} of ${count(many)}`), turn(1, "Next page", this.page >= pages - 1));
  }
}
