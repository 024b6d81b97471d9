// @ts-check
// The box cut open along its length, at scale: top, walls, root bars, bottom, feet. It follows the forms.

import { html } from "./vendor/preact-htm.js";
import { length } from "./lengths.js";

const EDGE = 14;
const FOOT_MM = 8;

/** @param {{drum: any, unit: any}} props */
export function BoxPicture({ drum, unit }) {
  const { top, box, slots } = drum;
  const on = box.mount === "on walls";
  // Let in on a ledge, the walls stand outside the top by what the ledge leaves of them, and rise to its upper face.
  const out = on ? 0 : box.wall_mm - box.ledge_mm;
  const long = top.length_mm;
  const whole = long + 2 * out;
  const bottom = box.bottom_mm ?? 0;
  const wallTop = on ? top.thickness_mm : 0;
  const wallEnd = top.thickness_mm + box.height_mm + (box.bottom_fit === "let in" ? bottom : 0);
  const foot = box.feet === "none" ? 0 : FOOT_MM;
  const high = top.thickness_mm + box.height_mm + bottom + foot;
  const wall = box.wall_mm;
  const inner = box.bottom_fit === "let in" ? wall / 2 : 0;
  const walls = [-out, long + out - wall];
  const bars = box.root_bar_mm > 0 ? [wall - out, long + out - wall - box.root_bar_mm] : [];
  const down = top.thickness_mm + box.height_mm;
  const wholeHigh = top.thickness_mm + box.height_mm + (box.bottom_fit === "under" ? bottom : 0);
  const words = [
    `Cut open along its length: ${length(whole, unit)} long, ${length(box.height_mm, unit)} high inside,`,
    `${length(wholeHigh, unit)} high without feet. Red: the roots of the tongues, ${length(slots.end_margin_mm, unit)} from the ends.`,
  ].join(" ");
  return html`<figure class="box-figure"><svg class="box-picture" viewBox=${`${-out - EDGE} ${-EDGE} ${whole + 2 * EDGE} ${high + 2 * EDGE}`} role="img"
      aria-label=${`Box ${length(whole, unit)} long, walls ${length(wall, unit)} thick and ${length(box.height_mm, unit)} high`}>
      ${walls.map((x) => html`<rect class="board cut" x=${x} y=${wallTop} width=${wall} height=${wallEnd - wallTop} />`)}
      ${!on && walls.map((x, at) => html`<rect class="board cut" x=${at ? x : x + out} y=${top.thickness_mm} width=${box.ledge_mm} height=${box.height_mm} />`)}
      ${bars.map((x) => html`<rect class="board cut bar" x=${x} y=${top.thickness_mm} width=${box.root_bar_mm} height=${box.root_bar_height_mm} />`)}
      <rect class="board cut" x="0" y="0" width=${long} height=${top.thickness_mm} />
      ${[slots.end_margin_mm, long - slots.end_margin_mm].map((x) => html`<path class="mark" d=${`M${x} ${-6}V${top.thickness_mm + 4}`} />`)}
      ${bottom > 0 && html`<rect class="board cut" x=${-out + inner} y=${down} width=${whole - 2 * inner} height=${bottom} />`}
      ${foot > 0 && [-out + wall, long + out - wall - 16].map((x) => html`<rect class="gone" x=${x} y=${down + bottom} width="16" height=${foot} rx="3" />`)}
    </svg>
    <figcaption class="quiet">${words}</figcaption>
  </figure>`;
}
