// @ts-check
/** How the search goes, as it goes. */

import { oncePerFrame } from "./canvas.js";
import { el, fill, labelled, tell } from "./dom.js";
import { count, percent, show as shown, spoken, ticks, time } from "./numbers.js";
import { listen, Problem, runPath, send } from "./server.js";
import { headOf, runHead, sentence, stateWords } from "./run_head.js";
import { headWords, scrolled } from "./tables.js";

export const title = "How the search goes";

/** Milliseconds between two words on how it comes along. */
const QUIET = 30_000;

/** @param {Element} main @param {any} place @param {AbortSignal} signal */
export async function show(main, place, signal) {
  const { run } = await runHead(title, place.run, signal);
  const board = new Board(run, signal);
  main.append(board.node);
  main.addEventListener("shown", () => board.watch());
}

class Board {
  /** @param {any} run @param {AbortSignal} signal */
  constructor(run, signal) {
    this.run = run;
    this.signal = signal;
    /** @type {any[]} */
    this.epochs = run.growth_by_epoch || [];
    this.head = el("div");
    this.live = el("div");
    this.wrong = el("div", { role: "alert" });
    this.controls = el("div", { class: "row" });
    this.draw = oncePerFrame(() => this.tell());
    this.told = { state: "", at: -Infinity };
    this.node = el("div", {}, this.head, this.controls, this.wrong, this.live);
    this.tell();
    this.command();
  }

  async watch() {
    try {
      await listen(`${runPath(this.run.id)}/events`, (kind, data) => this.hear(kind, data), this.signal, (there) => this.connection(there));
    } catch (error) {
      if (error instanceof Problem) this.say(error.message);
      else throw error;
    }
  }

  /** @param {string} kind @param {any} data */
  hear(kind, data) {
    if (kind === "epoch") this.epochs = [...this.epochs.filter((one) => one.epoch < data.epoch), data];
    if (kind === "status") this.run = data;
    if (kind === "end") this.run = { ...this.run, ...data };
    if (kind !== "epoch") this.command();
    this.draw();
  }

  /** @param {boolean} there */
  connection(there) {
    this.say(there ? "" : "The service does not answer; trying again. The search goes on meanwhile, if its workers do.");
  }

  /** @param {string} words */
  say(words) {
    fill(this.wrong, words ? el("p", { class: "problems" }, words) : null);
  }

  tell() {
    const { run } = this;
    fill(this.head, headOf(title, run));
    fill(this.live, this.facts(), this.growth(), this.rejections(), ...(run.remarks || []).map((one) => el("p", { class: "note" }, one)));
    this.announce();
  }

  /** Tell what is new at once, and how it comes along now and then. */
  announce() {
    const { state, at } = this.told;
    const now = performance.now();
    if (this.run.state === state && now - at < QUIET) return;
    this.told = { state: this.run.state, at: now };
    tell(`${stateWords(this.run)}: ${sentence(this.run)}`);
  }

  facts() {
    const { run } = this;
    const left = run.seconds_left !== null && run.seconds_left !== undefined ? time(run.seconds_left)
      : run.designs_left !== null && run.designs_left !== undefined ? `${count(run.designs_left)} designs` : "not bounded";
    const facts = [["meet every limit", percent(run.feasible, run.designs)],
      ["front over its first", run.growth ? `${shown(run.growth)} times` : "no front yet"], ["searched", time(run.seconds)], ["left", run.state === "running" ? left : "nothing runs"]];
    const bar = el("progress", { max: 1, value: run.share_done ?? 0, "aria-label": "Share of the budget spent" });
    return el("div", {}, el("dl", { class: "block" }, ...facts.map(([name, value]) => el("div", {}, el("dt", {}, name), el("dd", {}, value)))),
      el("p", {}, bar, ` ${percent(run.share_done ?? 0, 1)} of the budget`));
  }

  growth() {
    const points = this.epochs.filter((one) => one.growth !== null);
    if (points.length < 2) return el("p", { class: "quiet" }, "The growth of the front is drawn from the second epoch on that has one.");
    return growthPicture(points);
  }

  rejections() {
    const { run } = this;
    const found = Object.entries(run.missed || {}).filter(([, many]) => many).slice(0, 12);
    if (!found.length) return null;
    const rows = found.map(([name, many]) => el("tr", {}, el("th", { scope: "row" }, spoken(name)),
      el("td", { class: "number" }, count(many)), el("td", { class: "number" }, percent(many, run.designs).replace(" %", "")),
      el("td", {}, shareBar(many / run.designs))));
    const heads = [["limit", ""], ["designs that miss it", ""], ["share", "%"]].map(([name, unit], place) => el("th", { scope: "col", class: place ? "number" : null }, ...headWords(name, unit)));
    return el("section", {}, el("h2", {}, "What rejects the rest"),
      scrolled("What rejects the rest", el("table", {}, el("thead", {}, el("tr", {}, ...heads, el("td"))), el("tbody", {}, ...rows))));
  }

  command() {
    const { run } = this;
    if (run.state === "running") {
      fill(this.controls, el("button", { type: "button", onclick: () => this.order("stop", {}) }, "Stop"));
      return;
    }
    const minutes = el("input", { type: "number", min: 0.1, step: "any", value: 10 });
    const onward = () => this.order("resume", { time: `${(run.seconds / 60 + Number(minutes.value)).toFixed(3)} min` });
    fill(this.controls, labelled("Further time [min]", minutes), el("button", { type: "button", class: "main", onclick: onward }, "Go on"));
  }

  /** @param {string} what @param {any} body */
  async order(what, body) {
    try {
      this.run = { ...this.run, ...await send(`${runPath(this.run.id)}/${what}`, body) };
      this.command();
      this.tell();
      if (what === "resume") this.watch();
    } catch (error) {
      if (!(error instanceof Problem)) throw error;
      this.say(error.message);
    }
  }
}

/** A share as a bar, for those who see; its number stands beside it. @param {number} share */
function shareBar(share) {
  return el("svg", { class: "share", viewBox: "0 0 100 10", preserveAspectRatio: "none", "aria-hidden": "true" },
    el("rect", { width: 100, height: 10 }), el("rect", { width: 100 * share, height: 10 }));
}

/** @param {any[]} points */
function growthPicture(points) {
  const box = { width: 640, height: 230, left: 60, right: 16, top: 12, bottom: 44 };
  const most = points[points.length - 1].tried;
  const high = Math.max(...points.map((one) => one.growth), 1.01);
  const x = (value) => box.left + (box.width - box.left - box.right) * value / most;
  const y = (value) => box.height - box.bottom - (box.height - box.top - box.bottom) * value / high;
  const last = points[points.length - 1];
  const path = points.map((one, place) => `${place ? "L" : "M"}${x(one.tried).toFixed(1)} ${y(one.growth).toFixed(1)}`).join("");
  const marks = [
    ...ticks(0, most, 6).flatMap((value) => [el("line", { class: "grid", x1: x(value), x2: x(value), y1: box.top, y2: box.height - box.bottom }),
      el("text", { class: "quiet-text", x: x(value), y: box.height - box.bottom + 17, "text-anchor": "middle" }, count(value))]),
    ...ticks(0, high, 4).flatMap((value) => [el("line", { class: "grid", x1: box.left, x2: box.width - box.right, y1: y(value), y2: y(value) }),
      el("text", { class: "quiet-text", x: box.left - 6, y: y(value) + 4, "text-anchor": "end" }, shown(value))])];
  return el("figure", {}, el("h2", {}, "Growth of the front"),
    scrolled("Picture: growth of the front", el("svg", { class: "bars", viewBox: `0 0 ${box.width} ${box.height}`, role: "img", "aria-label": `What the front dominates has grown to ${shown(last.growth)} times that of the first front after ${count(last.tried)} designs` },
      ...marks, el("path", { class: "growth", d: path }), el("circle", { class: "growth-dot", cx: x(last.tried), cy: y(last.growth), r: 4 }),
      el("text", { x: (box.left + box.width) / 2, y: box.height - 6, "text-anchor": "middle" }, "designs tried"))),
    el("figcaption", {}, "What the front dominates (its hypervolume), as a multiple of that of the first front."));
}
