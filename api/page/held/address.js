// @ts-check
/** Addresses: what is shown, and in which state, stands in the address alone. */

/** @typedef {{part: string, run: string, design: number}} Place */

export const PARTS = [
  ["asked", "What was asked"],
  ["progress", "How the search goes"],
  ["trade", "The trade"],
  ["picks", "The picks"],
  ["designs", "Design sheet"],
  ["drivers", "What drives it"],
  ["handover", "Hand-over"],
];

/** @returns {Place} */
export function here() {
  const [first, run, part, design] = location.pathname.split("/").filter(Boolean).map(decodeURIComponent);
  if (first === "new") return { part: "new", run: "", design: 0 };
  if (first !== "runs" || !run) return { part: "studies", run: "", design: 0 };
  return { part: part || "asked", run, design: Number(design || 0) };
}

/** @returns {URLSearchParams} */
export function state() {
  return new URLSearchParams(location.search);
}

/**
 * Say some of the state otherwise, in the same place.
 * @param {Record<string, string>} changes an empty value takes a key out
 */
export function remember(changes) {
  const after = state();
  for (const [key, value] of Object.entries(changes)) {
    if (value) after.set(key, value);
    else after.delete(key);
  }
  const query = after.toString();
  history.replaceState(null, "", location.pathname + (query ? `?${query}` : ""));
  document.dispatchEvent(new Event("remembered"));
}

/**
 * The address of a part of a run, with the state kept.
 * @param {string} run
 * @param {string} part
 * @param {number} [design]
 */
export function partAddress(run, part, design = 0) {
  const end = part === "designs" ? `designs/${design}` : part;
  return `/runs/${encodeURIComponent(run)}/${end}${location.search}`;
}

/** @param {string} address */
export function go(address) {
  history.pushState(null, "", address);
  dispatchEvent(new PopStateEvent("popstate"));
}

export const MOST_PICKS = 6;
/** Number of the study file's own design, which always stands beside the picks. */
export const BASELINE = 0;

/** @returns {number[]} */
export function picks() {
  return (state().get("picks") || "").split(",").filter(Boolean).map(Number).filter((one) => Number.isInteger(one) && one > BASELINE);
}

/**
 * Pick a design, or put it back.
 * @param {number} number
 * @returns {string} what to tell
 */
export function togglePick(number) {
  if (number === BASELINE) return "the baseline stands beside the picks anyhow";
  const now = picks();
  if (now.includes(number)) {
    remember({ picks: now.filter((one) => one !== number).join(",") });
    return `design ${number} is no longer picked`;
  }
  if (now.length >= MOST_PICKS) return `six designs are picked already; put one back first`;
  remember({ picks: [...now, number].join(",") });
  return `design ${number} picked, ${now.length + 1} of ${MOST_PICKS}`;
}
