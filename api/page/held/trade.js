// @ts-check
/** The trade: two quantities against each other, all designs as lines, and as a table; one set of filters. */

import { partAddress, picks, remember, state, togglePick } from "./address.js";
import { DesignTable } from "./design_table.js";
import { columnWords, limitsOf, loadDesigns, tightest } from "./designs.js";
import { choice, el, fill, labelled, save, tell } from "./dom.js";
import { Filters, rangeBoxes } from "./filters.js";
import { Lines } from "./lines.js";
import { count, show as shown } from "./numbers.js";
import { runHead } from "./run_head.js";
import { Scatter } from "./scatter.js";
import { verdictClass } from "./tables.js";

/** @typedef {import("./designs.js").Column} Column */

export const title = "The trade";

/** Axes of the lines, unless the reader says otherwise. */
const MOST_AXES = 11;

/** @param {Element} main @param {any} place @param {AbortSignal} signal */
export async function show(main, place, signal) {
  const [head, designs] = await Promise.all([runHead(title, place.run, signal), loadDesigns(place.run)]);
  main.append(head.node);
  if (!designs.size) {
    main.append(el("p", { class: "note" }, "No designs yet; the first ones are shown once an epoch has closed."));
    return;
  }
  if (head.run.state === "running") {
    main.append(el("p", { class: "note" }, "The search goes on; this is how it stands now. ", el("a", { href: location.pathname + location.search }, "Load it anew")));
  }
  const view = new Trade(designs, place.run, signal);
  main.append(view.node);
  main.addEventListener("shown", () => view.begin());
}

class Trade {
  /** @param {import("./designs.js").Designs} designs @param {string} run @param {AbortSignal} signal */
  constructor(designs, run, signal) {
    const said = state();
    this.run = run;
    this.designs = designs;
    this.signal = signal;
    this.filters = new Filters(designs, said.get("keep") || "", said.get("only") === "meets");
    const objectives = designs.columns.filter((one) => one.role === "objective");
    this.x = this.column(said.get("x")) || objectives[1] || designs.columns[0];
    this.y = this.column(said.get("y")) || objectives[0];
    this.close = said.get("fit") !== "all";
    const axes = (said.get("axes") || "").split(",").map((name) => this.column(name)).filter(Boolean);
    this.axes = axes.length > 1 ? axes : this.usualAxes(objectives);
    this.scatter = new Scatter(designs, this.filters, { chosen: (row) => this.choose(row), picked: (row) => this.pick(row), brushed: (ranges) => this.brush(ranges) });
    this.lines = new Lines(designs, this.filters, (column, low, high, ended) => this.pull(column, low, high, ended));
    this.table = new DesignTable(designs, this.filters, () => this.redraw());
    this.counts = el("p", { class: "sentence" });
    this.card = el("div", { class: "card" }, el("p", { class: "quiet" }, "Click a mark, or go through the front with the arrow keys, to see a design here."));
    this.boxes = el("div", { class: "scroll", role: "region", "aria-label": "Ranges", tabindex: 0 });
    this.node = el("div", {}, this.controls(), this.counts, this.scatterFigure(), this.linesFigure(),
      el("h2", {}, "Ranges"), el("p", {}, "The same ranges as dragged in the pictures; empty boxes keep all."), this.boxes, el("h2", {}, "Designs"), this.table.node);
  }

  /** @param {string | null} name @returns {Column | undefined} */
  column(name) {
    return name ? this.designs.by.get(name) : undefined;
  }

  /** Objectives, the limits that are missed most, and the variables that spread most along the front. @param {Column[]} objectives */
  usualAxes(objectives) {
    const { designs } = this;
    const missed = (one) => one.values.reduce((sum, left) => sum + (left < 0 ? 1 : 0), 0);
    const limits = limitsOf(designs).map((one) => ({ one, many: missed(one) })).filter(({ many }) => many)
      .sort((a, b) => b.many - a.many).slice(0, 3).map(({ one }) => one);
    const variables = designs.columns.filter((one) => one.role === "variable").slice(0, MOST_AXES - objectives.length - limits.length);
    return [...objectives, ...variables, ...limits];
  }

  controls() {
    const options = this.designs.columns.map((one) => /** @type {[string, string]} */ ([one.name, columnWords(one)]));
    const meeting = el("input", { type: "checkbox", checked: this.filters.meeting, onchange: () => {
      this.filters.meeting = meeting.checked;
      this.changed();
    } });
    const fit = choice([["meets", "designs that meet every limit"], ["all", "all designs"]], this.close ? "meets" : "all", (value) => { this.close = value === "meets"; this.replot(); });
    return el("div", { class: "row" },
      labelled("Up", choice(options, this.y.name, (name) => { this.y = this.column(name); this.replot(); })),
      labelled("Across", choice(options, this.x.name, (name) => { this.x = this.column(name); this.replot(); })),
      labelled("Frame", fit), el("label", { class: "tick" }, meeting, "only designs that meet every limit"),
      el("button", { type: "button", onclick: () => this.clear() }, "Clear all ranges"));
  }

  scatterFigure() {
    const marks = [["front", "on the front", el("circle", { class: "mark-front", cx: 8, cy: 8, r: 5 })],
      ["met", "meets every limit", el("rect", { class: "mark-met", x: 6, y: 6, width: 4, height: 4 })],
      ["missed", "misses a limit", el("path", { class: "mark-missed", d: "M4 4L12 12M4 12L12 4" })],
      ["pick", "pick, with its number", el("path", { class: "mark-pick", d: "M8 1L15 8L8 15L1 8z" })],
      ["base", "baseline", el("rect", { class: "mark-base", x: 2.5, y: 2.5, width: 11, height: 11 })]];
    return el("figure", {}, el("h2", {}, "Two quantities"), el("ul", { class: "legend" }, ...marks.map(([, words, mark]) => el("li", {},
      el("svg", { viewBox: "0 0 16 16", "aria-hidden": "true" }, mark), words))), this.scatter.node,
      el("figcaption", {}, "Drag a frame to keep what lies inside; faint points are left out by the ranges. ", this.saver(() => this.scatter.canvas, "trade")), this.card);
  }

  linesFigure() {
    const boxes = this.designs.columns.slice(1).map((one) => {
      const box = el("input", { type: "checkbox", checked: this.axes.includes(one), onchange: () => this.axis(one, box.checked) });
      return el("label", {}, box, columnWords(one));
    });
    return el("figure", {}, el("h2", {}, "All designs as lines"), this.lines.node,
      el("figcaption", {}, "Drag along an axis to keep the designs that pass there, click it to keep all again. Front blue, baseline green, picks orange. ", this.saver(() => this.lines.canvas, "lines")),
      el("details", {}, el("summary", {}, "Choose axes"), el("div", { class: "ticks" }, ...boxes)));
  }

  /** @param {() => HTMLCanvasElement} canvas @param {string} name */
  saver(canvas, name) {
    return el("button", { type: "button", onclick: () => canvas().toBlob((picture) => save(picture, `${this.run}-${name}.png`)) }, "Save as PNG");
  }

  /** Draw for the first time, once there is a place to draw in. */
  begin() {
    this.replot();
    this.table.show(this.shown());
    this.recount();
    const again = () => this.redraw();
    addEventListener("inks", again, { signal: this.signal });
    const watcher = new ResizeObserver(again);
    watcher.observe(this.node);
    this.signal.addEventListener("abort", () => watcher.disconnect());
  }

  /** Columns of table and boxes: those on show in a picture. */
  shown() {
    return Array.from(new Set([this.y, this.x, ...this.axes])).filter((one) => one.role !== "design");
  }

  replot() {
    this.scatter.show(this.x, this.y, this.close);
    this.lines.show(this.axes);
    fill(this.boxes, rangeBoxes(this.filters, this.shown(), () => this.changed()));
    this.table.show(this.shown());
    remember({ x: this.x.name, y: this.y.name, fit: this.close ? "" : "all" });
  }

  redraw() {
    this.scatter.draw();
    this.lines.draw();
  }

  /** @param {Column} column @param {boolean} wanted */
  axis(column, wanted) {
    const chosen = new Set(wanted ? [...this.axes, column] : this.axes.filter((one) => one !== column));
    this.axes = this.designs.columns.filter((one) => chosen.has(one));
    remember({ axes: this.axes.map((one) => one.name).join(",") });
    this.replot();
  }

  /** @param {[Column, number, number][]} ranges */
  brush(ranges) {
    for (const [column, low, high] of ranges) this.filters.set(column.name, low, high);
    this.changed();
  }

  /** @param {Column} column @param {number} low @param {number} high @param {boolean} ended */
  pull(column, low, high, ended) {
    this.filters.set(column.name, low, high);
    if (ended) this.changed();
    else { this.filters.apply(); this.redraw(); this.recount(); }
  }

  clear() {
    this.filters.ranges.clear();
    this.changed();
  }

  /** The filters are others: work them out, and show it everywhere. */
  changed() {
    this.filters.apply();
    remember({ keep: this.filters.toString(), only: this.filters.meeting ? "meets" : "" });
    fill(this.boxes, rangeBoxes(this.filters, this.shown(), () => this.changed()));
    this.table.show(this.shown());
    this.redraw();
    this.recount();
  }

  recount() {
    const { filters, designs } = this;
    const words = `${count(filters.count)} of ${count(designs.size)} designs kept, ${count(filters.met)} of them meet every limit.`;
    fill(this.counts, words);
    tell(words);
  }

  /** Pick a design or put it back. @param {number} row */
  pick(row) {
    const words = togglePick(this.designs.numbers[row]);
    this.choose(row);
    this.table.draw();
    this.redraw();
    tell(words);
  }

  /** @param {number} row */
  choose(row) {
    if (row < 0) return;
    const { designs } = this;
    const number = designs.numbers[row];
    const { name, words } = tightest(designs, row);
    const values = [this.y, this.x].map((one) => `${one.label} ${one.choices ? one.choices[one.values[row]] : shown(one.values[row])} ${one.unit}`.trim());
    const said = picks().includes(number) ? "Put back" : "Pick";
    const pick = el("button", { type: "button", onclick: () => this.pick(row) }, said);
    fill(this.card, el("p", {}, el("strong", {}, `Design ${number}`), `: ${values.join(", ")}; `, el("span", { class: verdictClass(words) }, words), ` (${name}) `),
      el("p", {}, pick, " ", el("a", { href: partAddress(this.run, "designs", number) }, "Design sheet")));
    tell(`design ${number}: ${values.join(", ")}; ${words}, ${name}`);
  }
}
