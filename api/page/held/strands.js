// @ts-check
/**
 * Thousands of lines at once: count how many go through each pixel, and paint the counts.
 * Half the time of having the canvas stroke them, and none is hidden by those drawn after it.
 */

/**
 * @param {Uint16Array} counts a pixel each, row by row; added to
 * @param {number} wide pixels of a row
 * @param {number[]} rows which lines
 * @param {number[]} across where the axes stand, in pixels
 * @param {Float32Array[]} heights how high each line crosses each axis, in pixels
 */
export function countLines(counts, wide, rows, across, heights) {
  for (let place = 1; place < across.length; place += 1) {
    const [from, to] = [Math.round(across[place - 1]), Math.round(across[place])];
    const [left, right] = [heights[place - 1], heights[place]];
    for (let at = 0; at < rows.length; at += 1) span(counts, wide, from, to, left[rows[at]], right[rows[at]]);
  }
}

/**
 * One straight piece, a pixel a step along its longer side.
 * @param {Uint16Array} counts @param {number} wide
 * @param {number} from @param {number} to @param {number} high @param {number} end
 */
function span(counts, wide, from, to, high, end) {
  const rise = end - high;
  const run = to - from;
  if (Math.abs(rise) <= run) {
    const step = rise / run;
    let y = high;
    for (let x = from; x < to; x += 1, y += step) counts[(y | 0) * wide + x] += 1;
  } else if (rise === rise) {
    const step = run / Math.abs(rise);
    const turn = rise > 0 ? wide : -wide;
    let x = from;
    for (let at = (high | 0) * wide, left = Math.abs(rise); left > 0; left -= 1, at += turn, x += step) counts[at + (x | 0)] += 1;
  }
}

/**
 * Paint counts over what is there: the first layer below the second.
 * @param {CanvasRenderingContext2D} pen
 * @param {{counts: Uint16Array, colour: string, strength: number, lines: number}[]} layers
 * @param {number} wide @param {number} tall
 */
export function paintCounts(pen, layers, wide, tall) {
  const image = pen.createImageData(wide, tall);
  const pixels = new Uint32Array(image.data.buffer);
  for (const layer of layers) {
    const shades = shadesOf(pen, layer);
    const last = shades.length - 1;
    for (let at = 0; at < pixels.length; at += 1) {
      const many = layer.counts[at];
      if (many) pixels[at] = shades[many < last ? many : last];
    }
  }
  pen.putImageData(image, 0, 0);
}

/** Lines that together look full; more of them are fainter. */
const FULL = 60;
const LEAST = 0.07;

/** The colour for each count. @param {CanvasRenderingContext2D} pen @param {{colour: string, strength: number, lines: number}} layer */
function shadesOf(pen, { colour, strength, lines }) {
  pen.fillStyle = colour;
  pen.fillRect(0, 0, 1, 1);
  const [red, green, blue] = pen.getImageData(0, 0, 1, 1).data;
  pen.clearRect(0, 0, 1, 1);
  const one = Math.max(LEAST, Math.min(1, FULL / Math.max(lines, 1)));
  return Uint32Array.from({ length: 200 }, (_, many) => {
    const alpha = Math.round(255 * strength * (1 - (1 - one) ** many));
    return ((alpha << 24) | (blue << 16) | (green << 8) | red) >>> 0;
  });
}
