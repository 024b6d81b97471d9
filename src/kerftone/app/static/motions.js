// @ts-check
// The drum's surface and how each note moves it, as the program sends them.

import { answerOf } from "./talk.js";

const FULL = 32767;

/** @typedef {{note: string, hz: number, clarity: number, with: Array<{tongue: number, share: number, together: boolean}>,
 *   still: number[][][]}} Note */
/** @typedef {{revision: number, parts: Array<{part: string, first: number, count: number}>, notes: Note[],
 *   points: Float32Array, triangles: Uint32Array, moved: Float32Array[]}} Motions */

/** @param {string} address @returns {Promise<Motions>} */
export async function fetchMotions(address) {
  const answer = await answerOf(`${address}/motions`, {});
  const whole = await answer.arrayBuffer();
  const size = new DataView(whole).getUint32(0, true);
  const head = JSON.parse(new TextDecoder().decode(new Uint8Array(whole, 4, size)));
  let at = 4 + size;
  const points = new Float32Array(whole, at, 3 * head.points);
  at += 12 * head.points;
  const triangles = new Uint32Array(whole, at, 3 * head.triangles);
  at += 12 * head.triangles;
  const moved = head.notes.map((/** @type {any} */ _, /** @type {number} */ n) =>
    Float32Array.from(new Int16Array(whole, at + 6 * head.points * n, 3 * head.points), (one) => one / FULL),
  );
  return { ...head, points, triangles, moved };
}

/** The middle of the drum, and how long it is. @param {Float32Array} points */
export function extent(points) {
  const low = [Infinity, Infinity, Infinity];
  const high = [-Infinity, -Infinity, -Infinity];
  for (let at = 0; at < points.length; at += 1) {
    low[at % 3] = Math.min(low[at % 3], points[at]);
    high[at % 3] = Math.max(high[at % 3], points[at]);
  }
  return { middle: low.map((one, axis) => (one + high[axis]) / 2), long: Math.max(high[0] - low[0], high[1] - low[1]) };
}

/** The colours of the drum's parts, of the theme that holds. */
export function colours() {
  const style = getComputedStyle(document.documentElement);
  const of = (/** @type {string} */ name) => style.getPropertyValue(name).trim();
  return /** @type {Record<string, string>} */ ({ top: of("--wood"), walls: of("--grain"), bottom: of("--grain"), line: of("--gone") });
}
