// @ts-check
// The box cut open along its length, at scale: top, walls, root bars, bottom, feet. It follows the forms.
// x from the top's left end, y down from its upper face, mm.

import { html } from "./vendor/preact-htm.js";
import { length } from "./lengths.js";

const EDGE = 14;
const BITE = 0.5;

/** How the parts lie. @param {any} drum */
function lies(drum) {
  const { top, box } = drum;
  const { bottom } = box;
  const out = box.beside_mm;
  const left = -out;
  const right = top.length_mm + out;
  const onLip = box.mount === "on a lip";
  const carried = onLip ? top.lip_thickness_mm : top.thickness_mm;
  const floor = carried + box.height_mm;
  let wallEnd = floor;
  let low = floor;
  if (bottom?.fit === "under") low = floor + bottom.thickness_mm;
  else if (bottom) low = wallEnd = floor + (bottom.fit === "on a lip" ? bottom.lip_thickness_mm : bottom.thickness_mm) + bottom.recess_mm;
  return { left, right, carried, floor, wallEnd, low, wallTop: box.mount === "in ledge" ? 0 : carried };
}

/** A board with a lip all round one face, seen in section: the lip, and its body beside it.
 * @param {{from: number, to: number, lip: number, gap: number, lipY: number, lipHigh: number, y: number, high: number}} at */
function withLip({ from, to, lip, gap, lipY, lipHigh, y, high }) {
  const inset = lip + gap;
  return html`<rect class="board cut" x=${from} y=${lipY} width=${to - from} height=${lipHigh} />
    <rect class="board cut" x=${from + inset} y=${y} width=${to - from - 2 * inset} height=${high} />`;
}

function TopBoard({ drum, at }) {
  const { top, box } = drum;
  const long = top.length_mm;
  if (box.mount !== "on a lip") return html`<rect class="board cut" x="0" y="0" width=${long} height=${top.thickness_mm} />`;
  return withLip({ from: 0, to: long, lip: top.lip_mm, gap: box.clearance_mm, lipY: 0, lipHigh: at.carried, y: at.carried, high: top.thickness_mm - at.carried });
}

function BottomBoard({ box, at }) {
  const { bottom, wall_mm: wall } = box;
  if (!bottom) return null;
  if (bottom.fit === "on a lip") {
    const rise = bottom.thickness_mm - bottom.lip_thickness_mm;
    const over = wall - bottom.lip_mm;
    return withLip({ from: at.left + over, to: at.right - over, lip: bottom.lip_mm, gap: bottom.clearance_mm, lipY: at.floor, lipHigh: bottom.lip_thickness_mm, y: at.floor - rise, high: rise });
  }
  const over = bottom.fit === "let in" ? wall * (1 - BITE) + bottom.clearance_mm : 0;
  return html`<rect class="board cut" x=${at.left + over} y=${at.floor} width=${at.right - at.left - 2 * over} height=${bottom.thickness_mm} />`;
}

/** A sound hole: seen in the back, cut through in an end or the bottom; in the front, which is cut away, its outline.
 * @param {{drum: any, at: any, hole: any}} props */
function SoundHole({ drum, at, hole }) {
  const { bottom, wall_mm: wall } = drum.box;
  const { part, diameter_mm: wide } = hole;
  const long = hole.length_mm ?? wide;
  const [x, , z] = hole.at_mm;
  const y = drum.top.thickness_mm - z;
  if (part === "left" || part === "right") {
    return html`<rect class="gone" data-hole=${part} x=${part === "left" ? at.left : at.right - wall} y=${y - wide / 2} width=${wall} height=${wide} />`;
  }
  if (part === "bottom") {
    const rise = bottom.fit === "on a lip" ? bottom.thickness_mm - bottom.lip_thickness_mm : 0;
    return html`<rect class="gone" data-hole=${part} x=${x - long / 2} y=${at.floor - rise} width=${long} height=${bottom.thickness_mm} />`;
  }
  // seen from the front, as the section is: the back wall's own left end is at the right, which at_mm knows
  return html`<rect class=${part === "back" ? "gone" : "away"} data-hole=${part} x=${x - long / 2} y=${y - wide / 2} width=${long} height=${wide} rx=${wide / 2} />`;
}

/** What the caption says of sound holes. @param {any[]} holes */
function holeWords(holes) {
  if (holes.length === 0) return "";
  const front = holes.some((one) => one.part === "front") ? ", dashed in the front, which is cut away" : "";
  return ` Sound holes dark${front}.`;
}

/** @param {{drum: any, unit: any}} props */
export function BoxPicture({ drum, unit }) {
  const { top, box, slots } = drum;
  const at = lies(drum);
  const whole = at.right - at.left;
  const wall = box.wall_mm;
  const foot = box.feet === "none" ? 0 : box.feet_mm.height;
  const across = box.feet_mm.diameter;
  const bars = box.root_bar_mm > 0 ? [at.left + wall, at.right - wall - box.root_bar_mm] : [];
  const barTop = box.mount === "on a lip" ? top.thickness_mm : at.carried;
  const words = [
    `Cut open along its length: ${length(whole, unit)} long, walls ${length(box.height_mm, unit)} up to what carries the top,`,
    `${length(at.low, unit)} high without feet. Red: the roots of the tongues, ${length(slots.end_margin_mm, unit)} from the ends.${holeWords(box.sound_holes)}`,
  ].join(" ");
  return html`<figure class="box-figure"><svg class="box-picture" viewBox=${`${at.left - EDGE} ${-EDGE} ${whole + 2 * EDGE} ${at.low + foot + 2 * EDGE}`} role="img"
      aria-label=${`Box ${length(whole, unit)} long, walls ${length(wall, unit)} thick and ${length(box.height_mm, unit)} high`}>
      ${[at.left, at.right - wall].map((x) => html`<rect class="board cut" x=${x} y=${at.wallTop} width=${wall} height=${at.wallEnd - at.wallTop} />`)}
      ${bars.map((x) => html`<rect class="board cut bar" x=${x} y=${barTop} width=${box.root_bar_mm} height=${box.root_bar_height_mm} />`)}
      <${TopBoard} drum=${drum} at=${at} />
      ${[slots.end_margin_mm, top.length_mm - slots.end_margin_mm].map((x) => html`<path class="mark" d=${`M${x} ${-6}V${top.thickness_mm + 4}`} />`)}
      <${BottomBoard} box=${box} at=${at} />
      ${box.sound_holes.map((/** @type {any} */ hole) => html`<${SoundHole} drum=${drum} at=${at} hole=${hole} />`)}
      ${foot > 0 && [at.left + wall / 2, at.right - wall / 2 - across].map((x) => html`<rect class="gone" x=${x} y=${at.low} width=${across} height=${foot} rx="3" />`)}
    </svg>
    <figcaption class="quiet">${words}</figcaption>
  </figure>`;
}
