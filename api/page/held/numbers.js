// @ts-check
/** Numbers for a reader: four significant digits, and verdicts in words. */

const DIGITS = 4;
const plain = new Intl.NumberFormat("en", { maximumSignificantDigits: DIGITS });
const whole = new Intl.NumberFormat("en", { maximumFractionDigits: 0 });

/**
 * @param {number | null | undefined} value
 * @returns {string}
 */
export function show(value) {
  if (value === null || value === undefined || Number.isNaN(value)) return "no value";
  if (!Number.isFinite(value)) return value > 0 ? "infinite" : "-infinite";
  const size = Math.abs(value);
  if (size !== 0 && (size < 1e-4 || size >= 1e7)) return value.toExponential(DIGITS - 1);
  return plain.format(value).replace("-0", value === 0 ? "0" : "-0");
}

/** @param {number} value */
export function count(value) {
  return whole.format(value);
}

/**
 * @param {number} part
 * @param {number} all
 */
export function percent(part, all) {
  return `${all ? plain.format(Number((100 * part / all).toPrecision(3))) : 0} %`;
}

/**
 * A difference with its sign.
 * @param {number} value
 */
export function signed(value) {
  return value > 0 ? `+${show(value)}` : show(value);
}

/**
 * How a limit is kept.
 * @param {number} left what is left to it; less than 0 where it is missed
 * @param {number} active up to where it counts as only just met
 * @param {string} unit
 */
export function verdict(left, active, unit) {
  if (Number.isNaN(left)) return "misses: no value";
  const size = `${show(Math.abs(left))} ${unit}`.trim();
  if (left < 0) return `misses by ${size}`;
  return `${left <= active ? "active" : "meets"}, ${size} left`;
}

/**
 * A time in the unit that fits it.
 * @param {number} seconds
 */
export function time(seconds) {
  if (seconds < 60) return `${Math.round(seconds)} s`;
  const minutes = Math.floor(seconds / 60);
  if (minutes < 60) return `${minutes} min ${String(Math.floor(seconds % 60)).padStart(2, "0")} s`;
  return `${Math.floor(minutes / 60)} h ${String(minutes % 60).padStart(2, "0")} min`;
}

/**
 * @param {string} name a name or path of the glossary
 */
export function spoken(name) {
  return name.replace(/^robot\./, "").replaceAll("_", " ");
}

/**
 * Round places for the marks of an axis.
 * @param {number} low
 * @param {number} high
 * @param {number} most
 * @returns {number[]}
 */
export function ticks(low, high, most) {
  if (!(high > low)) return [low];
  const rough = (high - low) / most;
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = power * [1, 2, 5, 10].find((one) => one * power >= rough);
  const found = [];
  for (let place = Math.ceil(low / step); place * step <= high + step * 1e-9; place += 1) {
    found.push(Number((place * step).toPrecision(12)));
  }
  return found;
}
