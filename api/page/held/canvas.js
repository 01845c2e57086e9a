// @ts-check
/** A canvas that is drawn by the processor: fast without any graphics card. */

import { show, ticks } from "./numbers.js";

/** @typedef {import("./designs.js").Column} Column */

/** Names of the colours that the style sheet holds for day, night and forced colours. */
const INKS = ["card", "ink", "quiet", "rule", "strong-rule", "front", "pick", "base", "met", "missed", "faint"];

/** @returns {Record<string, string>} */
export function inks() {
  const style = getComputedStyle(document.documentElement);
  return Object.fromEntries(INKS.map((name) => [name, style.getPropertyValue(`--${name}`).trim()]));
}

/**
 * Size a canvas for the screen.
 * @param {HTMLCanvasElement} canvas
 * @param {number} width
 * @param {number} height
 * @param {number} [size] of letters
 * @returns {CanvasRenderingContext2D} cleared, in units of the page
 */
export function prepared(canvas, width, height, size = 13) {
  const ratio = Math.min(window.devicePixelRatio || 1, 2);
  if (canvas.width !== Math.round(width * ratio) || canvas.height !== Math.round(height * ratio)) {
    canvas.width = Math.round(width * ratio);
    canvas.height = Math.round(height * ratio);
    canvas.style.width = `${width}px`;
    canvas.style.height = `${height}px`;
  }
  const pen = canvas.getContext("2d", { willReadFrequently: true });
  pen.setTransform(ratio, 0, 0, ratio, 0, 0);
  pen.clearRect(0, 0, width, height);
  pen.font = `${size}px ${getComputedStyle(document.body).fontFamily}`;
  return pen;
}

/**
 * Draw once the browser draws, however often it is asked before.
 * @param {() => void} draw
 * @returns {() => void}
 */
export function oncePerFrame(draw) {
  let asked = false;
  return () => {
    if (asked) return;
    asked = true;
    requestAnimationFrame(() => { asked = false; draw(); });
  };
}

/**
 * A cross: misses a limit. All of one colour go into one path.
 * @param {CanvasRenderingContext2D} pen @param {number} x @param {number} y @param {number} size
 */
export function cross(pen, x, y, size) {
  pen.moveTo(x - size, y - size);
  pen.lineTo(x + size, y + size);
  pen.moveTo(x - size, y + size);
  pen.lineTo(x + size, y - size);
}

/**
 * A diamond: a pick.
 * @param {CanvasRenderingContext2D} pen @param {number} x @param {number} y @param {number} size
 */
export function diamond(pen, x, y, size) {
  pen.beginPath();
  pen.moveTo(x, y - size);
  pen.lineTo(x + size, y);
  pen.lineTo(x, y + size);
  pen.lineTo(x - size, y);
  pen.closePath();
}

/**
 * Words for the marks of an axis: choices by their names.
 * @param {Column} column @param {number} low @param {number} high @param {number} most
 * @returns {[number, string][]}
 */
export function marks(column, low, high, most) {
  if (column.choices) {
    return column.choices.map((word, place) => /** @type {[number, string]} */ ([place, word]));
  }
  return ticks(low, high, most).map((value) => [value, show(value)]);
}

/**
 * Cut words down to a width.
 * @param {CanvasRenderingContext2D} pen @param {string} words @param {number} width
 */
export function fitting(pen, words, width) {
  if (pen.measureText(words).width <= width) return words;
  let kept = words;
  while (kept.length > 1 && pen.measureText(`${kept}\u2026`).width > width) kept = kept.slice(0, -1);
  return `${kept}\u2026`;
}

/**
 * Fold words into lines of a width.
 * @param {CanvasRenderingContext2D} pen @param {string} words @param {number} width @param {number} most
 * @returns {string[]}
 */
export function folded(pen, words, width, most) {
  const lines = [""];
  for (const word of words.split(" ")) {
    const longer = `${lines[lines.length - 1]} ${word}`.trim();
    if (lines.length === most || lines[lines.length - 1] === "" || pen.measureText(longer).width <= width) lines[lines.length - 1] = longer;
    else lines.push(word);
  }
  return lines.map((line) => fitting(pen, line, width));
}
