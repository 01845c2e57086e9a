// @ts-check
/** Two chosen quantities against each other. */

import { cross, diamond, fitting, inks, marks, oncePerFrame, prepared } from "./canvas.js";
import { columnWords } from "./designs.js";
import { el } from "./dom.js";
import { picks } from "./address.js";

/** @typedef {import("./designs.js").Designs} Designs */
/** @typedef {import("./designs.js").Column} Column */
/** @typedef {import("./filters.js").Filters} Filters */

const EDGE = { left: 74, right: 18, top: 14, bottom: 50 };
const HEIGHT = 430;
const REACH = 14;
const STILL = 4;

export class Scatter {
  /**
   * @param {Designs} designs
   * @param {Filters} filters
   * @param {{chosen: (row: number) => void, picked: (row: number) => void, brushed: (ranges: [Column, number, number][]) => void}} answers
   */
  constructor(designs, filters, answers) {
    this.designs = designs;
    this.filters = filters;
    this.answers = answers;
    this.canvas = el("canvas", {
      tabindex: 0, role: "application", "aria-roledescription": "picture",
      onpointerdown: (event) => this.down(event), onpointermove: (event) => this.move(event),
      onpointerup: (event) => this.up(event), onkeydown: (event) => this.key(event),
    });
    this.node = el("div", { class: "plot" }, this.canvas);
    this.draw = oncePerFrame(() => this.paint());
    this.row = -1;
    this.box = null;
    this.width = 260;
  }

  /** @param {Column} x @param {Column} y @param {boolean} close whether to show only where designs meet */
  show(x, y, close) {
    this.x = x;
    this.y = y;
    this.ranges = [x, y].map((column) => this.extent(column, close));
    this.canvas.setAttribute("aria-label", `${columnWords(y)} over ${columnWords(x)}: `
      + "arrow keys go through the front, P picks a design or puts it back. The boxes below filter.");
    this.draw();
  }

  /** @param {Column} column @param {boolean} close @returns {[number, number]} */
  extent(column, close) {
    const narrow = close && this.designs.feasible.some((one) => one);
    if (column.choices) return [-0.5, column.choices.length - 0.5];
    let low = Infinity;
    let high = -Infinity;
    const picked = new Set(picks());
    column.values.forEach((value, row) => {
      const wanted = !narrow || this.designs.feasible[row] || this.designs.numbers[row] === 0 || picked.has(this.designs.numbers[row]);
      if (wanted && Number.isFinite(value)) { low = Math.min(low, value); high = Math.max(high, value); }
    });
    if (!(low <= high)) return [column.low, column.high];
    const room = 0.06 * (high - low) || Math.abs(high) * 0.1 || 1;
    return [low - room, high + room];
  }


  /** @param {number} row @returns {[number, number]} */
  place(row) {
    const [[left, right], [low, high]] = this.ranges;
    const wide = this.width - EDGE.left - EDGE.right;
    const tall = HEIGHT - EDGE.top - EDGE.bottom;
    return [
      EDGE.left + wide * (this.x.values[row] - left) / (right - left),
      HEIGHT - EDGE.bottom - tall * (this.y.values[row] - low) / (high - low),
    ];
  }

  paint() {
    if (!this.x) return;
    // asked for once, since asking for each mark would lay the page out anew each time
    this.width = Math.max(260, this.node.clientWidth - 2);
    const pen = prepared(this.canvas, this.width, HEIGHT);
    const ink = inks();
    this.frame(pen, ink);
    pen.save();
    pen.beginPath();
    pen.rect(EDGE.left, EDGE.top, this.width - EDGE.left - EDGE.right, HEIGHT - EDGE.top - EDGE.bottom);
    pen.clip();
    this.clouds(pen, ink);
    this.chosenOnes(pen, ink);
    pen.restore();
    this.brush(pen, ink);
  }

  /** @param {CanvasRenderingContext2D} pen @param {Record<string, string>} ink */
  frame(pen, ink) {
    const { width } = this;
    const [[left, right], [low, high]] = this.ranges;
    const bottom = HEIGHT - EDGE.bottom;
    pen.strokeStyle = ink.rule;
    pen.fillStyle = ink.quiet;
    pen.lineWidth = 1;
    pen.textAlign = "center";
    for (const [value, words] of marks(this.x, left, right, Math.max(2, width / 120))) {
      const x = EDGE.left + (width - EDGE.left - EDGE.right) * (value - left) / (right - left);
      pen.strokeRect(x, EDGE.top, 0, bottom - EDGE.top);
      pen.fillText(fitting(pen, words, 110), x, bottom + 17);
    }
    pen.textAlign = "right";
    for (const [value, words] of marks(this.y, low, high, 6)) {
      const y = bottom - (bottom - EDGE.top) * (value - low) / (high - low);
      pen.strokeRect(EDGE.left, y, width - EDGE.left - EDGE.right, 0);
      pen.fillText(fitting(pen, words, EDGE.left - 24), EDGE.left - 7, y + 4);
    }
    pen.fillStyle = ink.ink;
    pen.textAlign = "center";
    pen.fillText(fitting(pen, columnWords(this.x), width - EDGE.left), EDGE.left + (width - EDGE.left) / 2, HEIGHT - 10);
    pen.save();
    pen.translate(13, EDGE.top + (bottom - EDGE.top) / 2);
    pen.rotate(-Math.PI / 2);
    pen.fillText(fitting(pen, columnWords(this.y), bottom - EDGE.top), 0, 0);
    pen.restore();
  }

  /** @param {CanvasRenderingContext2D} pen @param {Record<string, string>} ink */
  clouds(pen, ink) {
    const { designs, filters } = this;
    pen.lineWidth = 1;
    pen.strokeStyle = ink.missed;
    pen.globalAlpha = 0.65;
    pen.beginPath();
    for (let row = 0; row < designs.size; row += 1) {
      if (filters.kept[row] && !designs.feasible[row]) cross(pen, ...this.place(row), 2.2);
    }
    pen.stroke();
    pen.globalAlpha = 1;
    for (let row = 0; row < designs.size; row += 1) {
      if (filters.kept[row] && designs.feasible[row] && designs.front[row]) continue;
      if (filters.kept[row] && !designs.feasible[row]) continue;
      const [x, y] = this.place(row);
      pen.fillStyle = filters.kept[row] ? ink.met : ink.faint;
      pen.fillRect(x - 1.5, y - 1.5, 3, 3);
    }
    pen.strokeStyle = ink.front;
    pen.lineWidth = 2;
    for (let row = 0; row < designs.size; row += 1) {
      if (!filters.kept[row] || !designs.front[row]) continue;
      pen.beginPath();
      pen.arc(...this.place(row), 4.5, 0, 2 * Math.PI);
      pen.stroke();
    }
  }

  /** @param {CanvasRenderingContext2D} pen @param {Record<string, string>} ink */
  chosenOnes(pen, ink) {
    const baseline = this.designs.row.get(0);
    if (baseline !== undefined) {
      const [x, y] = this.place(baseline);
      pen.strokeStyle = ink.base;
      pen.lineWidth = 2.5;
      pen.strokeRect(x - 6, y - 6, 12, 12);
    }
    pen.textAlign = "left";
    for (const number of picks()) {
      const row = this.designs.row.get(number);
      if (row === undefined) continue;
      const [x, y] = this.place(row);
      diamond(pen, x, y, 8);
      pen.fillStyle = ink.pick;
      pen.fill();
      pen.strokeStyle = ink.ink;
      pen.lineWidth = 1;
      pen.stroke();
      pen.strokeStyle = ink.card;
      pen.lineWidth = 4;
      pen.strokeText(String(number), x + 10, y - 6);
      pen.fillStyle = ink.ink;
      pen.fillText(String(number), x + 10, y - 6);
    }
    if (this.row >= 0) {
      pen.strokeStyle = ink.ink;
      pen.lineWidth = 2;
      pen.beginPath();
      pen.arc(...this.place(this.row), 11, 0, 2 * Math.PI);
      pen.stroke();
    }
  }

  /** @param {CanvasRenderingContext2D} pen @param {Record<string, string>} ink */
  brush(pen, ink) {
    if (!this.box) return;
    const [x0, y0, x1, y1] = this.box;
    pen.strokeStyle = ink.ink;
    pen.setLineDash([5, 4]);
    pen.strokeRect(x0, y0, x1 - x0, y1 - y0);
    pen.setLineDash([]);
  }

  /** @param {PointerEvent} event */
  down(event) {
    if (event.button !== 0) return;
    this.canvas.setPointerCapture(event.pointerId);
    this.box = [event.offsetX, event.offsetY, event.offsetX, event.offsetY];
  }

  /** @param {PointerEvent} event */
  move(event) {
    if (!this.box) return;
    this.box[2] = event.offsetX;
    this.box[3] = event.offsetY;
    this.draw();
  }

  /** @param {PointerEvent} event */
  up(event) {
    if (!this.box) return;
    const [x0, y0] = this.box;
    this.box = null;
    const moved = Math.max(Math.abs(event.offsetX - x0), Math.abs(event.offsetY - y0));
    if (moved <= STILL) this.choose(this.nearest(event.offsetX, event.offsetY));
    else this.answers.brushed(this.between(x0, y0, event.offsetX, event.offsetY));
    this.draw();
  }

  /** @param {number} x0 @param {number} y0 @param {number} x1 @param {number} y1 @returns {[Column, number, number][]} */
  between(x0, y0, x1, y1) {
    const [[left, right], [low, high]] = this.ranges;
    const x = (place) => left + (right - left) * (place - EDGE.left) / (this.width - EDGE.left - EDGE.right);
    const y = (place) => low + (high - low) * (HEIGHT - EDGE.bottom - place) / (HEIGHT - EDGE.top - EDGE.bottom);
    return [[this.x, x(Math.min(x0, x1)), x(Math.max(x0, x1))], [this.y, y(Math.max(y0, y1)), y(Math.min(y0, y1))]];
  }

  /** The kept design under a place; designs of the front come first. @param {number} x @param {number} y */
  nearest(x, y) {
    let found = -1;
    let best = REACH;
    for (let row = 0; row < this.designs.size; row += 1) {
      if (!this.filters.kept[row]) continue;
      const [px, py] = this.place(row);
      const far = Math.hypot(px - x, py - y) * (this.designs.front[row] ? 0.5 : 1);
      if (far < best) { best = far; found = row; }
    }
    return found;
  }

  /** @param {number} row */
  choose(row) {
    this.row = row;
    this.answers.chosen(row);
    this.draw();
  }

  /** @param {KeyboardEvent} event */
  key(event) {
    if (event.key === "p" && this.row >= 0) this.answers.picked(this.row);
    const step = { ArrowRight: 1, ArrowUp: 1, ArrowLeft: -1, ArrowDown: -1 }[event.key];
    if (!step) return;
    event.preventDefault();
    const rows = Array.from(this.designs.front.keys())
      .filter((row) => this.designs.front[row] && this.filters.kept[row])
      .sort((one, other) => this.x.values[one] - this.x.values[other]);
    if (!rows.length) return;
    const now = rows.indexOf(this.row);
    this.choose(rows[now < 0 ? 0 : Math.min(Math.max(now + step, 0), rows.length - 1)]);
  }
}
