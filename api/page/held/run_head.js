// @ts-check
/** What stands above every part of a study: its name, how it stands, and one sentence. */

import { el } from "./dom.js";
import { count, spoken } from "./numbers.js";
import { ask, runPath } from "./server.js";

const STATES = { running: "searching", stopped: "stopped", finished: "finished", failed: "failed" };

/** @param {any} run */
export function stateWords(run) {
  return STATES[run.state] || run.state;
}

/**
 * @param {string} title
 * @param {string} id
 * @param {AbortSignal} signal
 * @returns {Promise<{run: any, node: Element}>}
 */
export async function runHead(title, id, signal) {
  const run = await ask(runPath(id), signal);
  return { run, node: headOf(title, run) };
}

/** @param {string} title @param {any} run */
export function headOf(title, run) {
  const facts = [["study", run.study], ["run", run.id], ["stands", stateWords(run)], ["designs tried", count(run.designs)],
    ["on the front", count(run.front)], ["seed", run.seed]];
  return el("div", {}, el("h1", {}, title), el("p", { class: "sentence" }, sentence(run)),
    el("dl", { class: "block" }, ...facts.map(([name, value]) => el("div", {}, el("dt", {}, name), el("dd", {}, value)))));
}

/**
 * How many designs meet every limit, and which limit is tightest.
 * @param {any} run
 */
export function sentence(run) {
  if (!run.designs) return "No designs tried yet.";
  const met = run.feasible ? `${count(run.feasible)} of ${count(run.designs)} designs tried meet every limit` : `None of ${count(run.designs)} designs tried meets every limit`;
  const share = run.tightest_limit ? run.missed[run.tightest_limit] / run.designs : 0;
  if (!share) return `${met}; no limit turned any down.`;
  return `${met}; the tightest limit is ${spoken(run.tightest_limit)}, missed by ${Number((100 * share).toPrecision(3))} %.`;
}
