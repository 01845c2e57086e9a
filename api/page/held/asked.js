// @ts-check
/** What was asked: objectives, limits, variables, robot, gaits, mission, and the study file itself. */

import { el } from "./dom.js";
import { ask, pagePath, runPath } from "./server.js";
import { runHead } from "./run_head.js";
import { sectionTable, titled } from "./tables.js";

export const title = "What was asked";

/** Tables that are shown at once; the values of the file are opened by the reader. */
const OPEN = 3;

/** @param {Element} main @param {any} place @param {AbortSignal} signal */
export async function show(main, place, signal) {
  const [head, asked, study] = await Promise.all([
    runHead(title, place.run, signal), ask(`${pagePath(place.run)}/asked`, signal), ask(`${runPath(place.run)}/study`, signal)]);
  main.append(head.node, asked.note ? el("p", {}, asked.note) : "",
    el("div", { class: "row" }, el("a", { class: "button", href: `/new?from=${encodeURIComponent(place.run)}` }, "Duplicate and edit")),
    ...asked.sections.slice(0, OPEN).map(titled),
    el("h2", {}, "Robot, gaits and mission"),
    ...asked.sections.slice(OPEN).map((one) => el("details", {}, el("summary", {}, `${one.title}, ${one.rows.length} values`), sectionTable(one))),
    el("h2", {}, "The study file"),
    file(head.run.study, study.study),
    ...Object.entries(study.files).map(([name, text]) => file(name, text)));
}

/** @param {string} name @param {string} text */
function file(name, text) {
  const digits = String(text.split("\n").length).length;
  const numbered = text.split("\n").map((line, place) => `${String(place + 1).padStart(digits)}  ${line}`).join("\n");
  return el("details", {}, el("summary", {}, name), el("pre", { tabindex: 0, role: "region", "aria-label": name }, numbered));
}
