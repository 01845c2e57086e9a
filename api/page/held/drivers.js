// @ts-check
/** What drives the result: the limits that hold the front back, and what changes along it. */

import { el } from "./dom.js";
import { ask, pagePath } from "./server.js";
import { runHead } from "./run_head.js";
import { titled } from "./tables.js";

export const title = "What drives it";

/** @param {Element} main @param {any} place @param {AbortSignal} signal */
export async function show(main, place, signal) {
  const [head, told] = await Promise.all([runHead(title, place.run, signal), ask(`${pagePath(place.run)}/drivers`, signal)]);
  main.append(head.node, told.way_out ? el("p", { class: "note caution" }, told.way_out) : "",
    ...told.remarks.map((one) => el("p", { class: "note" }, one)), ...told.sections.map(titled));
}
