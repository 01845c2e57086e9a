// @ts-check
/** The page: which part to show, and what stands around it. */

import { here, partAddress, PARTS, state } from "./address.js";
import { el, fill } from "./dom.js";
import { keepToken, Problem } from "./server.js";
import * as studies from "./studies.js";
import * as submit from "./submit.js";
import * as asked from "./asked.js";
import * as progress from "./progress.js";
import * as trade from "./trade.js";
import * as picks from "./picks.js";
import * as sheet from "./sheet.js";
import * as drivers from "./drivers.js";
import * as handover from "./handover.js";

/** @type {Record<string, {title: string, show: (main: Element, place: any, signal: AbortSignal) => Promise<void>}>} */
const VIEWS = { studies, new: submit, asked, progress, trade, picks, designs: sheet, drivers, handover };
const main = document.getElementById("main");
const parts = document.getElementById("parts");
let shown = new AbortController();

/** Show what the address says. @param {boolean} moved whether the reader came from another place */
async function show(moved) {
  shown.abort();
  shown = new AbortController();
  const { signal } = shown;
  const place = here();
  const view = VIEWS[place.part] || VIEWS.studies;
  document.title = [view.title, place.run, "tradeopt"].filter(Boolean).join(" \u2013 ");
  navigation();
  const fresh = el("div");
  try {
    await view.show(fresh, place, signal);
    if (signal.aborted) return;
    fill(main, fresh);
    if (moved) { main.focus({ preventScroll: true }); scrollTo(0, 0); }
    fresh.dispatchEvent(new Event("shown"));
  } catch (error) {
    if (!signal.aborted) fill(main, wrong(error));
  }
}

/** Links to the parts of a study, which carry its state along. */
function navigation() {
  const { part, run, design } = here();
  const links = !run ? [] : PARTS.map(([name, title]) => el("li", {}, el("a", {
    href: partAddress(run, name, name === "designs" && part === "designs" ? design : Number((state().get("picks") || "0").split(",")[0])),
    "aria-current": name === part ? "page" : null,
  }, title)));
  fill(parts, links.length ? el("ol", {}, ...links) : null);
}

/** @param {any} error */
function wrong(error) {
  if (!(error instanceof Problem)) throw error;
  return el("div", {}, el("h1", {}, error.status === 404 ? "Not found" : "This cannot be shown"),
    el("div", { class: "problems", role: "alert" }, el("p", {}, error.message)),
    [401, 403].includes(error.status) ? tokenForm() : null,
    el("p", {}, el("a", { href: "/" }, "To the studies")));
}

function tokenForm() {
  const box = el("input", { type: "password", autocomplete: "off", required: true });
  return el("form", { class: "row", onsubmit: (event) => { event.preventDefault(); keepToken(box.value); show(true); } },
    el("label", { class: "field" }, el("span", {}, "Token of this service"), box), el("button", { class: "main" }, "Show"));
}

document.addEventListener("click", (event) => {
  const link = /** @type {Element} */ (event.target).closest("a[href]");
  const plain = !(event.ctrlKey || event.metaKey || event.shiftKey || event.altKey) && event.button === 0;
  if (!link || !plain || link.hasAttribute("download") || link.getAttribute("href").startsWith("#")) return;
  const url = new URL(/** @type {HTMLAnchorElement} */ (link).href);
  if (url.origin !== location.origin || !/^\/($|new$|runs\/)/.test(url.pathname)) return;
  event.preventDefault();
  history.pushState(null, "", url);
  show(true);
});
addEventListener("popstate", () => show(true));
document.addEventListener("remembered", navigation);

const theme = /** @type {HTMLSelectElement} */ (document.getElementById("theme"));
theme.value = localStorage.getItem("tradeopt light") || "system";
function applyTheme() {
  localStorage.setItem("tradeopt light", theme.value);
  if (theme.value === "system") delete document.documentElement.dataset.theme;
  else document.documentElement.dataset.theme = theme.value;
  dispatchEvent(new Event("inks"));
}
theme.addEventListener("change", applyTheme);
for (const query of ["(prefers-color-scheme: dark)", "(forced-colors: active)"]) {
  matchMedia(query).addEventListener("change", () => dispatchEvent(new Event("inks")));
}
applyTheme();
show(false);
