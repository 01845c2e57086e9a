// @ts-check
/** What drives the result: what holds the front back, and what one design of it hangs on. */

import { picks } from "./address.js";
import { el, fill, tell } from "./dom.js";
import { ask, pagePath, Problem } from "./server.js";
import { runHead } from "./run_head.js";
import { titled } from "./tables.js";

export const title = "What drives it";

/** @param {Element} main @param {any} place @param {AbortSignal} signal */
export async function show(main, place, signal) {
  const [head, told] = await Promise.all([runHead(title, place.run, signal), ask(`${pagePath(place.run)}/drivers`, signal)]);
  const found = el("div");
  const button = el("button", { type: "button", class: "main", onclick: () => workOut(button, found, place.run, signal) }, "Work it out");
  const which = picks().length ? `design ${picks()[0]}, the first pick` : "the design that the front suggests";
  main.append(head.node, told.way_out ? el("p", { class: "note caution" }, told.way_out) : "",
    ...told.remarks.map((one) => el("p", { class: "note" }, one)), ...told.sections.map(titled),
    el("h2", {}, "What one design hangs on"),
    el("p", {}, `For ${which}: the price of each limit, which assumptions move it, what would change the recommendation, and what each mechanism is worth. Some thousand designs are evaluated for it, which takes a moment.`),
    el("div", { class: "row" }, button), found);
}

/** @param {HTMLButtonElement} button @param {Element} found @param {string} run @param {AbortSignal} signal */
async function workOut(button, found, run, signal) {
  const query = picks().map((one) => `pick=${one}`).join("&");
  button.disabled = true;
  fill(found, el("p", { class: "quiet" }, "Working it out."));
  tell("working it out");
  try {
    const told = await ask(`${pagePath(run)}/insight${query ? `?${query}` : ""}`, signal);
    fill(found, el("p", { class: "sentence" }, [`Design ${told.design}, ${told.role}`, told.exchange && `near it: ${told.exchange}`].filter(Boolean).join("; "), "."), ...told.sections.map(titled));
    tell("worked out");
  } catch (error) {
    if (!(error instanceof Problem)) throw error;
    fill(found, el("p", { class: "problems", role: "alert" }, error.message));
  } finally {
    button.disabled = false;
  }
}
