// @ts-check
/** All designs as lines over axes; dragging along an axis keeps what passes there. */

import { fitting, folded, inks, oncePerFrame, prepared } from "./canvas.js";
import { columnWords } from "./designs.js";
import { el } from "./dom.js";
import { show } from "./numbers.js";
import { countLines, paintCounts } from "./strands.js";
import { picks } from "./address.js";

/** @typedef {import("./designs.js").Designs} Designs */
/** @typedef {import("./designs.js").Column} Column */
/** @typedef {import("./filters.js").Filters} Filters */

const HEIGHT = 440;
const TOP = 92;
const BOTTOM = 26;
const SIDE = 52;
const APART = 86;
const LINE = 14;
const STILL = 4;

export class Lines {
  /**
   * @param {Designs} designs
   * @param {Filters} filters
   * @param {(column: Column, low: number, high: number, ended: boolean) => void} brushed
   */
  constructor(designs, filters, brushed) {
    this.designs = designs;
    this.filters = filters;
    this.brushed = brushed;
    this.canvas = el("canvas", {
      role: "img",
      onpointerdown: (event) => this.down(event), onpointermove: (event) => this.move(event),
      onpointerup: (event) => this.up(event),
    });
    this.node = el("div", { class: "scroll", role: "region", tabindex: 0, "aria-label": "Lines over axes" }, this.canvas);
    this.draw = oncePerFrame(() => this.paint());
    /** @type {Column[]} */
    this.columns = [];
    this.held = null;
  }

  /** @param {Column[]} columns */
  show(columns) {
    this.columns = columns;
    this.places = columns.map((column) => this.heights(column));
    this.width = 2 * SIDE;
    this.canvas.setAttribute("aria-label", `Every design as a line over ${columns.length} axes: `
      + `${columns.map(columnWords).join(", ")}. The boxes below filter by the same ranges.`);
    this.draw();
  }

  /** Ask for the room there is; asking for each line would lay the page out anew each time. */
  measure() {
    this.width = Math.max(this.node.clientWidth - 2, 2 * SIDE + APART * (this.columns.length - 1));
    this.across = this.columns.map((_, place) => this.x(place));
  }

  /** @param {number} place */
  x(place) {
    return SIDE + place * (this.width - 2 * SIDE) / Math.max(this.columns.length - 1, 1);
  }

  /** @param {Column} column @param {number} value */
  y(column, value) {
    const scale = (one) => (column.log ? Math.log(one) : one);
    const share = (scale(value) - scale(column.low)) / (scale(column.high) - scale(column.low));
    return HEIGHT - BOTTOM - Math.min(Math.max(share, -0.02), 1.02) * (HEIGHT - TOP - BOTTOM);
  }

  /** @param {Column} column @param {number} y */
  value(column, y) {
    const share = (HEIGHT - BOTTOM - y) / (HEIGHT - TOP - BOTTOM);
    if (!column.log) return column.low + share * (column.high - column.low);
    return column.low * (column.high / column.low) ** share;
  }

  /** @param {Column} column @returns {Float32Array} how high each design crosses the axis */
  heights(column) {
    return Float32Array.from(column.values, (value) => this.y(column, value));
  }

  paint() {
    if (!this.columns.length) return;
    this.measure();
    const pen = prepared(this.canvas, this.width, HEIGHT, 12);
    const ink = inks();
    const { designs } = this;
    const met = this.rows((row) => designs.feasible[row] && !designs.front[row]);
    const missed = this.rows((row) => !designs.feasible[row]);
    this.cloud(pen, [{ rows: missed, colour: ink.missed, strength: 0.55 }, { rows: met, colour: ink.met, strength: 0.9 }]);
    this.stroke(pen, this.rows((row) => designs.front[row]), ink.front, 1);
    this.stroke(pen, this.rowsOf([0]), ink.base, 2.6);
    this.stroke(pen, this.rowsOf(picks()), ink.pick, 2.6);
    this.axes(pen, ink);
  }

  /** @param {(row: number) => any} wanted */
  rows(wanted) {
    const found = [];
    for (let row = 0; row < this.designs.size; row += 1) if (this.filters.kept[row] && wanted(row)) found.push(row);
    return found;
  }

  /** @param {CanvasRenderingContext2D} pen @param {number} row */
  trace(pen, row) {
    const { across, places } = this;
    let open = false;
    for (let place = 0; place < places.length; place += 1) {
      const y = places[place][row];
      if (Number.isNaN(y)) open = false;
      else if (open) pen.lineTo(across[place], y);
      else { pen.moveTo(across[place], y); open = true; }
    }
  }

  /** Rows of designs by number. @param {number[]} numbers */
  rowsOf(numbers) {
    return numbers.map((number) => this.designs.row.get(number)).filter((row) => row !== undefined);
  }

  /** Many designs, each of which is faint. @param {CanvasRenderingContext2D} pen @param {{rows: number[], colour: string, strength: number}[]} groups */
  cloud(pen, groups) {
    const { width: wide, height: tall } = this.canvas;
    const ratio = wide / this.width;
    const across = this.across.map((x) => x * ratio);
    const heights = this.places.map((column) => (ratio === 1 ? column : column.map((y) => y * ratio)));
    const layers = groups.map(({ rows, colour, strength }) => {
      const counts = new Uint16Array(wide * tall);
      countLines(counts, wide, rows, across, heights);
      return { counts, colour, strength, lines: rows.length };
    });
    paintCounts(pen, layers, wide, tall);
  }

  /** A few designs, each of which is to be seen. @param {CanvasRenderingContext2D} pen @param {number[]} rows @param {string} colour @param {number} thick */
  stroke(pen, rows, colour, thick) {
    pen.strokeStyle = colour;
    pen.lineWidth = thick;
    pen.globalAlpha = Math.max(0.15, Math.min(1, 90 / Math.max(rows.length, 1)));
    for (const row of rows) {
      pen.beginPath();
      this.trace(pen, row);
      pen.stroke();
    }
    pen.globalAlpha = 1;
  }

  /** @param {CanvasRenderingContext2D} pen @param {Record<string, string>} ink */
  axes(pen, ink) {
    pen.textAlign = "center";
    this.columns.forEach((column, place) => {
      const x = this.x(place);
      pen.strokeStyle = ink["strong-rule"];
      pen.lineWidth = 1.4;
      pen.strokeRect(x, TOP, 0, HEIGHT - TOP - BOTTOM);
      this.name(pen, column, x, ink);
      this.window(pen, column, x, ink);
    });
  }

  /** @param {CanvasRenderingContext2D} pen @param {Column} column @param {number} x @param {Record<string, string>} ink */
  name(pen, column, x, ink) {
    const room = Math.min(150, (this.width - 2 * SIDE) / Math.max(this.columns.length - 1, 1) - 2);
    pen.fillStyle = ink.ink;
    const lines = folded(pen, columnWords(column).replaceAll(".", " ").replace(/^drives /, ""), room, 4);
    lines.forEach((words, line) => pen.fillText(words, this.inside(pen, words, x, room), TOP - 24 - LINE * (lines.length - 1 - line)));
    pen.fillStyle = ink.quiet;
    const [low, high] = [column.low, column.high].map((value) => (column.choices ? column.choices[value] ?? "" : show(value)));
    const width = room;
    pen.fillText(fitting(pen, high, width), this.inside(pen, high, x, width), TOP - 8);
    pen.fillText(fitting(pen, low, width), this.inside(pen, low, x, width), HEIGHT - 8);
  }

  /** @param {CanvasRenderingContext2D} pen @param {string} words @param {number} x @param {number} room */
  inside(pen, words, x, room) {
    const half = Math.min(pen.measureText(words).width, room) / 2 + 3;
    return Math.min(Math.max(x, half), this.width - half);
  }

  /** @param {CanvasRenderingContext2D} pen @param {Column} column @param {number} x @param {Record<string, string>} ink */
  window(pen, column, x, ink) {
    const [low, high] = this.filters.range(column.name);
    if (low === -Infinity && high === Infinity) return;
    const top = this.y(column, Math.min(high, column.high));
    const bottom = this.y(column, Math.max(low, column.low));
    pen.fillStyle = ink.pick;
    pen.globalAlpha = 0.3;
    pen.fillRect(x - 7, top, 14, bottom - top);
    pen.globalAlpha = 1;
    pen.strokeStyle = ink.ink;
    pen.lineWidth = 1.5;
    pen.strokeRect(x - 7, top, 14, bottom - top);
  }

  /** @param {PointerEvent} event */
  down(event) {
    const apart = (this.width - 2 * SIDE) / Math.max(this.columns.length - 1, 1);
    const place = Math.round((event.offsetX - SIDE) / apart);
    const column = this.columns[place];
    if (event.button !== 0 || !column || Math.abs(event.offsetX - this.x(place)) > Math.min(16, apart / 2)) return;
    this.canvas.setPointerCapture(event.pointerId);
    this.held = { column, from: event.offsetY };
  }

  /** @param {PointerEvent} event */
  move(event) {
    if (this.held && Math.abs(event.offsetY - this.held.from) > STILL) this.pull(event.offsetY, false);
  }

  /** @param {PointerEvent} event */
  up(event) {
    if (!this.held) return;
    if (Math.abs(event.offsetY - this.held.from) > STILL) this.pull(event.offsetY, true);
    else this.brushed(this.held.column, -Infinity, Infinity, true);
    this.held = null;
  }

  /** @param {number} y @param {boolean} ended */
  pull(y, ended) {
    const { column, from } = this.held;
    const [one, other] = [this.value(column, from), this.value(column, y)];
    // beyond the end of an axis, all that is drawn at its end is meant as well
    const low = Math.max(from, y) >= HEIGHT - BOTTOM ? -Infinity : Math.min(one, other);
    const high = Math.min(from, y) <= TOP ? Infinity : Math.max(one, other);
    this.brushed(column, low, high, ended);
  }
}
