// @ts-check
/** The list of studies. */

import { el } from "./dom.js";
import { count, percent, show as shown, spoken, time } from "./numbers.js";
import { ask } from "./server.js";
import { headWords, scrolled } from "./tables.js";
import { stateWords } from "./run_head.js";

export const title = "Studies";

const HEADS = [["study", ""], ["run", ""], ["stands", ""], ["designs tried", ""], ["meet every limit", "%"],
  ["missed most", ""], ["front over its first", ""], ["searched", ""], ["started", ""]];
const NUMERIC = new Set(["designs tried", "meet every limit", "front over its first", "searched"]);

/** @param {Element} main @param {any} _place @param {AbortSignal} signal */
export async function show(main, _place, signal) {
  const page = await ask("/v1/runs?limit=50", signal);
  const body = el("tbody", {}, ...page.items.map(row));
  const more = el("button", { type: "button", hidden: !page.next, onclick: () => further(body, more, page) }, "Show older ones");
  main.append(el("h1", {}, "Studies"),
    el("p", {}, "A study asks one question; a run is one search of it. Every run is kept, with all that is needed to repeat it."),
    el("div", { class: "row" }, el("a", { class: "button main", href: "/new" }, "New study")));
  if (!page.items.length) {
    main.append(el("p", { class: "note" }, "Nothing has been searched here yet. Begin with a study file of yours, or with the example."));
    return;
  }
  const heads = HEADS.map(([name, unit]) => el("th", { scope: "col", class: NUMERIC.has(name) ? "number" : null }, ...headWords(name, unit)));
  main.append(scrolled("Studies", el("table", {}, el("thead", {}, el("tr", {}, ...heads)), body)), more);
}

/** @param {Element} body @param {HTMLButtonElement} more @param {any} page */
async function further(body, more, page) {
  const next = await ask(`/v1/runs?limit=50&cursor=${encodeURIComponent(page.next)}`);
  body.append(...next.items.map(row));
  page.next = next.next;
  more.hidden = !page.next;
}

/** @param {any} run */
function row(run) {
  const part = run.state === "running" ? "progress" : "trade";
  const number = (words) => el("td", { class: "number" }, words);
  const words = (said) => el("td", { class: "whole" }, said);
  return el("tr", {}, words(run.study),
    el("th", { scope: "row", class: "whole" }, el("a", { href: `/runs/${encodeURIComponent(run.id)}/${part}` }, run.id)),
    words(stateWords(run)), number(count(run.designs)), number(percent(run.feasible, run.designs).replace(" %", "")),
    words(run.tightest_limit ? spoken(run.tightest_limit) : "none"), number(run.growth ? shown(run.growth) : ""),
    number(time(run.seconds)), words(el("time", { datetime: run.created }, new Date(run.created).toLocaleString("sv-SE", { dateStyle: "short", timeStyle: "short" }))));
}
