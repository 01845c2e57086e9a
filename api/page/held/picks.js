// @ts-check
/** The picks beside the baseline: what differs, and by how much. */

import { BASELINE, here, MOST_PICKS, partAddress, picks, remember, state, togglePick } from "./address.js";
import { el, tell } from "./dom.js";
import { signed } from "./numbers.js";
import { ask, pagePath } from "./server.js";
import { runHead } from "./run_head.js";
import { headWords, scrolled, verdictClass } from "./tables.js";

export const title = "The picks";

/** Tables of the sheet that are compared, and the columns of each: label, value, verdict. */
const COMPARED = [["mission", "value"], ["limits", "verdict"], ["variables", "value"], ["mass", "predicted"], ["battery", "value"]];

/** @param {Element} main @param {any} place @param {AbortSignal} signal */
export async function show(main, place, signal) {
  const numbers = [BASELINE, ...picks()];
  const [head, ...sheets] = await Promise.all([runHead(title, place.run, signal),
    ...numbers.map((number) => ask(`${pagePath(place.run)}/designs/${number}`, signal))]);
  const all = state().get("rows") === "all";
  main.append(head.node, adder(main, signal));
  if (numbers.length === 1) main.append(el("p", { class: "note" }, "Nothing is picked yet: tick designs in the trade, or give their numbers here. The baseline stands alone."));
  const everything = el("input", { type: "checkbox", checked: all, onchange: () => { remember({ rows: everything.checked ? "all" : "" }); again(main, signal); } });
  main.append(el("label", { class: "tick" }, everything, "also show what does not differ"),
    el("p", { class: "quiet small" }, "Below a value: its difference to the baseline, in the same unit."));
  for (const [name, head] of COMPARED) main.append(...comparison(name, head, numbers, sheets, all));
}

/** @param {Element} main @param {AbortSignal} signal */
async function again(main, signal) {
  const fresh = el("div");
  await show(fresh, here(), signal);
  main.replaceChildren(...fresh.childNodes);
}

/** @param {Element} main @param {AbortSignal} signal */
function adder(main, signal) {
  const box = el("input", { type: "number", min: 1, step: 1, required: true });
  const add = (event) => {
    event.preventDefault();
    if (!picks().includes(Number(box.value))) tell(togglePick(Number(box.value)));
    again(main, signal).catch((error) => { tell(togglePick(Number(box.value))); box.setCustomValidity(error.message); box.reportValidity(); });
  };
  const buttons = picks().map((number) => el("button", { type: "button", onclick: () => { tell(togglePick(number)); again(main, signal); } }, `Put ${number} back`));
  const full = picks().length >= MOST_PICKS;
  return el("form", { class: "row", onsubmit: add }, el("label", { class: "field" }, el("span", {}, `Number of a design (up to ${MOST_PICKS} picks)`), box),
    el("button", { disabled: full }, "Pick it"), ...buttons);
}

/** @param {string} name @param {string} wanted @param {number[]} numbers @param {any[]} sheets @param {boolean} all */
function comparison(name, wanted, numbers, sheets, all) {
  const tables = sheets.map((sheet) => sheet.sections.find((one) => one.name === name));
  if (tables.some((table) => !table)) return [];
  const place = tables[0].heads.findIndex((head) => head.name === wanted);
  const { unit } = tables[0].heads[place];
  const found = tables.map((table) => new Map(table.rows.map((row, at) => [row[0], { text: row[place], number: table.numbers[at][place] }])));
  const labels = Array.from(new Set(found.flatMap((one) => Array.from(one.keys()))));
  const differing = labels.filter((label) => all || new Set(found.map((one) => one.get(label)?.text)).size > 1);
  if (!differing.length) return [el("h2", {}, tables[0].title), el("p", { class: "quiet" }, numbers.length > 1 ? "No difference." : "Nothing to compare with.")];
  const right = tables[0].heads[place].numeric ? "number" : null;
  const heads = numbers.map((number) => el("th", { scope: "col", class: right },
    el("a", { href: partAddress(here().run, "designs", number) }, number ? `design ${number}` : "baseline"), headWords("", unit)[1]));
  const rows = differing.map((label) => el("tr", {}, el("th", { scope: "row" }, label), ...found.map((one, at) => cell(one.get(label), found[0].get(label), at))));
  return [el("h2", {}, tables[0].title), scrolled(tables[0].title, el("table", {}, el("thead", {}, el("tr", {}, el("th", { scope: "col" }, tables[0].heads[0].name), ...heads)), el("tbody", {}, ...rows)))];
}

/** @param {any} one @param {any} base @param {number} at */
function cell(one, base, at) {
  if (!one) return el("td", { class: "number" }, "\u2013");
  const numeric = typeof one.number === "number";
  const change = at && numeric && typeof base?.number === "number" && one.number !== base.number ? el("ins", {}, signed(one.number - base.number)) : null;
  return el("td", { class: numeric ? "number" : verdictClass(one.text) || null }, one.text, change);
}
