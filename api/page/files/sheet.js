// @ts-check
/** The design sheet: all there is to say of one design. */

import { here, go, partAddress, picks, togglePick } from "./address.js";
import { curves, stackedBars } from "./bars.js";
import { el, tell } from "./dom.js";
import { ask, pagePath, Problem, runPath } from "./server.js";
import { runHead } from "./run_head.js";
import { titled, verdictClass } from "./tables.js";

/** @typedef {import("./tables.js").Section} Section */

export const title = "Design sheet";

/** Tables that are drawn as bars as well, and how many of their last rows are sums. */
const DRAWN = {
  mass: { columns: ["basic", "growth"], sums: 1 },
  energy: { columns: null, sums: 1 },
  drive_mass: { columns: ["motors", "transmissions", "springs", "cooling"], sums: 1 },
  winding_temperatures: { columns: null, sums: 0, apart: true },
};

/** @param {Element} main @param {any} place @param {AbortSignal} signal */
export async function show(main, place, signal) {
  const [head, sheet, pictures] = await Promise.all([runHead(`${title} of ${place.design ? `design ${place.design}` : "the baseline"}`, place.run, signal),
    ask(`${pagePath(place.run)}/designs/${place.design}`, signal), drawings(place, signal)]);
  main.append(head.node, chooser(place),
    el("p", { class: "sentence" }, "This design ", el("span", { class: verdictClass(sheet.verdict) }, sheet.verdict), "."), ...pictures);
  for (const section of sheet.sections) {
    const made = titled(section);
    if (section.name in DRAWN) made.insertBefore(bars(section), made.lastChild);
    main.append(made);
  }
  main.append(el("h2", {}, "Notes and cautions"), ...sheet.notes.map((note) => el("p", { class: "note" }, note)));
}

/** @param {any} place */
function chooser(place) {
  const box = el("input", { type: "number", min: 0, step: 1, required: true, value: place.design });
  const pick = el("button", { type: "button", onclick: () => { tell(togglePick(place.design)); pick.textContent = words(); } });
  const words = () => (picks().includes(place.design) ? "Put this design back" : "Pick this design");
  pick.textContent = words();
  return el("form", { class: "row", onsubmit: (event) => { event.preventDefault(); go(partAddress(here().run, "designs", Number(box.value))); } },
    el("label", { class: "field" }, el("span", {}, "Number of a design; 0 is the baseline"), box), el("button", {}, "Show it"), place.design ? pick : null);
}

/** Curves of this design, where the server draws them. @param {any} place @param {AbortSignal} signal */
async function drawings(place, signal) {
  try {
    const told = await ask(`${runPath(place.run)}/designs/${place.design}/curves`, signal);
    return [el("div", { class: "grid-2" }, ...told.pictures.map(curves))];
  } catch (error) {
    if (error instanceof Problem && error.status === 404) return [];
    throw error;
  }
}

/** @param {Section} section */
function bars(section) {
  const { columns, sums } = DRAWN[section.name];
  const rows = section.numbers.slice(0, section.numbers.length - sums);
  const names = section.rows.slice(0, rows.length).map((row) => row.slice(0, section.labels).join(", ").replaceAll("_", " "));
  const places = section.heads.map((_, place) => place).filter((place) => place >= section.labels && section.heads[place].numeric
    && (columns === null || columns.includes(section.heads[place].name)));
  const parts = places.map((place) => ({ name: section.heads[place].name, values: rows.map((row) => row[place]) }));
  return stackedBars(section.title, section.heads[places[0]].unit, names, parts);
}
