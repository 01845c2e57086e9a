// @ts-check
/** The design sheet: all there is to say of one design. */

import { here, go, partAddress, picks, togglePick } from "./address.js";
import { curves, dotRows, stackedBars } from "./bars.js";
import { el, tell } from "./dom.js";
import { ask, pagePath } from "./server.js";
import { runHead } from "./run_head.js";
import { titled, verdictClass } from "./tables.js";

/** @typedef {import("./tables.js").Section} Section */

export const title = "Design sheet";

/**
 * Tables that are drawn as well: which columns (all numbers, unless named), how many of the last rows are
 * sums, whether the columns are the bars, and whether the numbers stand beside each other.
 * @type {Record<string, {columns?: string[], sums?: number, turned?: boolean, beside?: boolean}>}
 */
const DRAWN = {
  legs: { columns: ["energy on charge"] },
  energy: { columns: ["energy"] },
  mass: { columns: ["basic", "growth"], sums: 1 },
  drive_mass: { columns: ["motors", "transmissions", "springs", "cooling"], sums: 1 },
  power: { sums: 1, turned: true },
  winding_temperatures: { beside: true },
  housing_temperatures: { beside: true },
};

/** @param {Element} main @param {any} place @param {AbortSignal} signal */
export async function show(main, place, signal) {
  const [head, sheet] = await Promise.all([runHead(`${title} of ${place.design ? `design ${place.design}` : "the baseline"}`, place.run, signal),
    ask(`${pagePath(place.run)}/designs/${place.design}`, signal)]);
  main.append(head.node, chooser(place),
    el("p", { class: "sentence" }, "This design ", el("span", { class: verdictClass(sheet.verdict) }, sheet.verdict), "."), contents(sheet.sections));
  for (const section of sheet.sections) {
    const made = titled(section);
    made.id = section.name;
    if (section.name in DRAWN) made.insertBefore(picture(section), made.lastChild);
    main.append(made);
  }
  main.append(...drawn(sheet.curves), el("h2", {}, "Notes and cautions"), ...sheet.notes.map((note) => el("p", { class: "note" }, note)));
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

/** @param {Section} section */
function picture(section) {
  const { columns, sums = 0, turned, beside } = DRAWN[section.name];
  const rows = section.numbers.slice(0, section.numbers.length - sums);
  const names = section.rows.slice(0, rows.length).map((row) => row.slice(0, section.labels).join(", ").replaceAll("_", " "));
  const places = section.heads.map((_, place) => place).filter((place) => place >= section.labels && section.heads[place].numeric
    && (!columns || columns.includes(section.heads[place].name)));
  const heads = places.map((place) => section.heads[place].name);
  const { unit } = section.heads[places[0]];
  const down = places.map((place, at) => ({ name: heads[at], values: rows.map((row) => row[place]) }));
  const across = names.map((name, row) => ({ name, values: places.map((place) => rows[row][place]) }));
  if (beside) return dotRows(section.title, unit, names, down);
  return turned ? stackedBars(section.title, unit, heads, across) : stackedBars(section.title, unit, names, down);
}

/** What the design sheet draws beside its tables. @param {any} curves of the sheet */
function drawn({ torque_speed: maps, ratio, temperatures }) {
  return [
    part("torque_speed", "Torque and speed of each motor over its limits", maps.map(curves),
      "A gait must stay between what the motor can drive and brake; it may cross a line of lasting heat as long as it does not stay there."),
    part("ratio", "Ratio of each joint", ratio.map(curves), "Motor speed over joint speed, where the joint moves fast enough to tell."),
    part("mission_temperatures", "Temperatures over the mission", temperatures.map(curves),
      "Leg after leg as the mission has them; a leg that sits cools."),
  ];
}

/** @param {string} name @param {string} title @param {Element[]} pictures @param {string} words */
function part(name, title, pictures, words) {
  return el("section", { id: name }, el("h2", {}, title), words ? el("p", { class: "quiet" }, words) : null, el("div", { class: "grid-2" }, ...pictures));
}

const DRAWINGS = [{ name: "torque_speed", title: "Torque and speed" }, { name: "ratio", title: "Ratios" }, { name: "mission_temperatures", title: "Temperatures over the mission" }];

/** Where to find what on a long sheet. @param {Section[]} sections */
function contents(sections) {
  return el("nav", { class: "contents", "aria-label": "Tables of this sheet" }, ...[...sections, ...DRAWINGS].map((one) => el("a", { href: `#${one.name}` }, one.title)));
}
