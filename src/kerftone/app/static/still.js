// @ts-check
// A still picture of the drum at the furthest of its swing, for browsers that cannot draw in three dimensions.

import { colours, extent } from "./motions.js";

const REACH = 0.07;
const LOOK = [0.36, -0.72, 0.6];
const SUN = [-0.3, -0.5, 0.81];

/** @typedef {number[]} Vector */
const dot = (/** @type {Vector} */ a, /** @type {Vector} */ b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
const cross = (/** @type {Vector} */ a, /** @type {Vector} */ b) => [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
const unit = (/** @type {Vector} */ a) => a.map((one) => one / Math.hypot(...a));

/** Draw it: the furthest faces first. @param {HTMLCanvasElement} canvas @param {import("./motions.js").Motions} motions
 * @param {number} note @param {number} size From 0 to 1. */
export function drawStill(canvas, motions, note, size) {
  const pen = canvas.getContext("2d");
  if (!pen) return;
  canvas.width = canvas.clientWidth * devicePixelRatio;
  canvas.height = canvas.clientHeight * devicePixelRatio;
  const { points, triangles, moved, parts } = motions;
  const { middle, long } = extent(points);
  const look = unit(LOOK);
  const right = unit(cross([0, 0, 1], look));
  const up = cross(look, right);
  const scale = canvas.width / (1.15 * long);
  const reach = REACH * long * size;
  const at = (/** @type {number} */ n) => [0, 1, 2].map((axis) => points[3 * n + axis] + reach * moved[note][3 * n + axis] - middle[axis]);
  const of = colours();
  const faces = parts.flatMap((part) =>
    Array.from({ length: part.count }, (_, n) => {
      const corners = [0, 1, 2].map((one) => at(triangles[3 * (part.first + n) + one]));
      const normal = cross(corners[1].map((x, axis) => x - corners[0][axis]), corners[2].map((x, axis) => x - corners[0][axis]));
      return { corners, normal, far: dot(look, corners[0]) + dot(look, corners[1]) + dot(look, corners[2]), part: part.part };
    }),
  ).filter((face) => dot(face.normal, look) > 0);
  faces.sort((one, other) => one.far - other.far);
  for (const { corners, normal, part } of faces) {
    const shade = 0.62 + 0.38 * Math.max(0, dot(unit(normal), SUN));
    pen.beginPath();
    for (const corner of corners) pen.lineTo(canvas.width / 2 + scale * dot(corner, right), canvas.height / 2 - scale * dot(corner, up));
    pen.closePath();
    pen.fillStyle = `color-mix(in srgb, ${of[part]} ${Math.round(100 * shade)}%, black)`;
    pen.strokeStyle = pen.fillStyle;
    pen.fill();
    pen.stroke();
  }
}
