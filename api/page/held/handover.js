// @ts-check
/** Hand-over: the deck, the exports, and how to repeat the run. */

import { picks } from "./address.js";
import { el, fill, save, tell } from "./dom.js";
import { content, Problem, runPath } from "./server.js";
import { runHead } from "./run_head.js";

export const title = "Hand-over";

/** @param {string} run */
function exportsOf(run) {
  const chosen = picks().map((one) => `pick=${one}`).join("&");
  return [
    ["Review deck", "slides (.pptx), tables and charts that can be edited; with the picks, if there are any", `/deck${chosen ? `?${chosen}` : ""}`, `${run}.pptx`],
    ["Report", "one HTML file for people without the service", "/report.html", `${run}.html`],
    ["Front as CSV", "units in the column names", "/front?format=csv", `${run}-front.csv`],
    ["All designs as CSV", "all that the run has kept", "/designs?format=csv", `${run}-designs.csv`],
    ["Front as Parquet", "SI, units and provenance in the file", "/front?format=parquet", `${run}-front.parquet`],
    ["Front as JSON", "SI, with provenance", "/front", `${run}-front.json`],
  ];
}

/** @param {Element} main @param {any} place @param {AbortSignal} signal */
export async function show(main, place, signal) {
  const { run, node } = await runHead(title, place.run, signal);
  const wrong = el("div", { role: "alert" });
  const rows = exportsOf(place.run).map(([name, words, path, file]) => el("tr", {}, el("th", { scope: "row" }, name), el("td", {}, words),
    el("td", {}, el("button", { type: "button", "aria-label": `Save: ${name}`, onclick: (event) => fetchInto(event.target, runPath(place.run) + path, file, wrong) }, "Save"))));
  main.append(node, wrong, el("div", { class: "scroll", role: "region", "aria-label": "Exports", tabindex: 0 }, el("table", {}, el("thead", {}, el("tr", {}, el("th", { scope: "col" }, "what"), el("th", { scope: "col" }, "holds"), el("td"))), el("tbody", {}, ...rows))),
    el("h2", {}, "How to repeat it"), ...repeat(run));
}

/** @param {HTMLButtonElement} button @param {string} path @param {string} file @param {Element} wrong */
async function fetchInto(button, path, file, wrong) {
  button.disabled = true;
  tell(`making ${file}`);
  try {
    save(await content(path), file);
    fill(wrong);
    tell(`${file} is ready`);
  } catch (error) {
    if (!(error instanceof Problem)) throw error;
    fill(wrong, el("p", { class: "problems" }, error.status === 404 ? `${file}: this service does not make it` : error.message));
  } finally {
    button.disabled = false;
  }
}

/** @param {any} run */
function repeat(run) {
  const made = Object.entries(run.told_by || {}).map(([name, version]) => `${name} ${version}`).join(", ");
  const facts = [["study, SHA-256", run.study_sha256], ["seed", run.seed], ["method", run.method], ["searched by", run.searched_by ? `tradeopt ${run.searched_by}` : ""],
    ["told by", made], ["started", run.created]].filter(([, value]) => value !== undefined && value !== "");
  return [el("p", {}, "The same study, seed and number of designs give the same front, bit for bit, on any number of workers. The study file is under What was asked."),
    el("pre", { tabindex: 0, role: "region", "aria-label": "Commands" }, `tradeopt run STUDY --seed ${run.seed} --designs ${run.designs}\ntradeopt front ${run.id} --csv`),
    el("dl", { class: "block" }, ...facts.map(([name, value]) => el("div", {}, el("dt", {}, name), el("dd", {}, value))))];
}
