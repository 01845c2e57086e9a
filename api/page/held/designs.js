// @ts-check
/** All designs of a run as columns of numbers. */

import { ask, pagePath } from "./server.js";
import { verdict } from "./numbers.js";

/**
 * @typedef {{name: string, label: string, role: string, unit: string, values: Float32Array,
 *   choices?: string[], wanted?: string, bound?: string, scale?: number, active?: number,
 *   lower?: number, upper?: number, log?: boolean, low: number, high: number}} Column
 * @typedef {{size: number, columns: Column[], by: Map<string, Column>, numbers: Float32Array,
 *   feasible: Float32Array, front: Float32Array, row: Map<number, number>}} Designs
 */

/** @param {string} text numbers of single precision in base 64 */
function unpacked(text) {
  const letters = atob(text);
  const bytes = new Uint8Array(letters.length);
  for (let place = 0; place < letters.length; place += 1) bytes[place] = letters.charCodeAt(place);
  return new Float32Array(bytes.buffer);
}

/**
 * @param {string} run
 * @returns {Promise<Designs>}
 */
export async function loadDesigns(run) {
  const told = await ask(`${pagePath(run)}/table`);
  const feasible = unpacked(told.feasible);
  // a quantity may be wanted and limited at once, so what is left to a limit has a name of its own
  const columns = told.columns.map((one) => ranged({
    ...one, name: one.role === "limit" ? `left:${one.name}` : one.name, values: unpacked(one.values),
  }, feasible));
  const numbers = columns[0].values;
  return {
    size: told.size, columns, numbers, feasible, front: unpacked(told.front),
    by: new Map(columns.map((one) => [one.name, one])),
    row: new Map(Array.from(numbers, (number, row) => [number, row])),
  };
}

/**
 * Say from where to where a column is drawn: bounds of the study, or else what meets the limits and as
 * much again on either side, but no more than there is; what lies beyond is drawn at the end.
 * @param {any} column
 * @param {Float32Array} feasible
 * @returns {Column}
 */
function ranged(column, feasible) {
  if (column.choices) return { ...column, low: 0, high: Math.max(column.choices.length - 1, 1) };
  if (column.lower !== undefined) return { ...column, low: column.lower, high: column.upper };
  const sorted = column.values.filter(Number.isFinite).sort();
  if (!sorted.length) return { ...column, low: 0, high: 1 };
  let low = sorted[Math.floor(0.02 * (sorted.length - 1))];
  let high = sorted[Math.ceil(0.98 * (sorted.length - 1))];
  const met = column.values.filter((value, row) => feasible[row] && Number.isFinite(value)).sort();
  if (met.length) {
    const [least, most] = [met[0], met[met.length - 1]];
    const room = most - least || Math.abs(most) || 1;
    low = Math.min(least, Math.max(low, least - room));
    high = Math.max(most, Math.min(high, most + room));
  }
  return { ...column, low, high: high > low ? high : low + 1 };
}

/** @param {Designs} designs */
export function limitsOf(designs) {
  return designs.columns.filter((one) => one.role === "limit");
}

/**
 * The limit that a design misses most, or is nearest to, and the words for it.
 * @param {Designs} designs
 * @param {number} row
 * @returns {{name: string, words: string}}
 */
export function tightest(designs, row) {
  let worst = null;
  let least = Infinity;
  for (const one of limitsOf(designs)) {
    const share = one.values[row] / one.scale;
    if (share < least) { least = share; worst = one; }
  }
  if (!worst) return { name: "", words: "no limits" };
  return { name: worst.label, words: verdict(worst.values[row], worst.active, worst.unit) };
}

/**
 * A value in words: a choice by its name.
 * @param {Column} column
 * @param {number} row
 * @param {(value: number) => string} show
 */
export function valueWords(column, row, show) {
  const value = column.values[row];
  return column.choices ? column.choices[Math.round(value)] : show(value);
}

/** @param {Column} column */
export function columnWords(column) {
  const label = column.role === "limit" ? `left to ${column.label}` : column.label;
  return column.unit ? `${label} [${column.unit}]` : label;
}
