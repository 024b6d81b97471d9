// @ts-check
// Boards on hand: listed, and each with the parts that are cut from it drawn where they lie; what is still to be bought.

import { html, useState } from "./vendor/preact-htm.js";
import { length, plain } from "./lengths.js";

const EMPTY = { length: "", width: "", thickness: "", count: "1", price: "" };
/** @typedef {"wood" | keyof typeof EMPTY} Key */

/** @param {{talk: import("./talk.js").Talk, unit: any, shop: any}} props */
export function Boards({ talk, unit, shop }) {
  const { box, top } = talk.state.drum;
  const [typed, setTyped] = useState({ wood: top.wood, ...EMPTY });
  const field = (/** @type {Key} */ key, /** @type {string} */ label) => html`<div class="field">
    <label for=${`stock-${key}`}>${label}</label>
    <input id=${`stock-${key}`} autocomplete="off" value=${typed[key]} onInput=${(/** @type {any} */ { target }) => setTyped((now) => ({ ...now, [key]: target.value }))} />
  </div>`;
  const add = async () => {
    if (await talk.change({ do: "stock", unit, ...typed })) setTyped({ ...typed, ...EMPTY });
  };
  const whole = typed.length && typed.width && typed.thickness;
  return html`<section class="panel" aria-label="Boards on hand">
    <h2>Boards on hand</h2>
    ${box.stock.length === 0 && html`<p class="quiet">None is listed. List what you have, and the plan lays the parts out on it.</p>`}
    <ul class="checks">${box.stock.map(
      (/** @type {any} */ one, /** @type {number} */ at) => html`<li>${one.count > 1 && `${one.count} of `}${one.wood}: ${length(one.length_mm, unit)} × ${length(one.width_mm, unit)} × ${length(one.thickness_mm, unit)}${one.price !== null && `, ${one.price} each`}
        <button type="button" aria-label=${`Take off: board ${at + 1} on the list`} onClick=${() => talk.change({ do: "stock", number: at })}>Take off</button></li>`,
    )}</ul>
    ${(shop?.cutting?.boards ?? []).map((/** @type {any} */ one) => html`<${Laid} board=${one} unit=${unit} />`)}
    ${box.stock.length > 0 && html`<${ToBuy} cutting=${shop?.cutting} unit=${unit} />`}
    <h3>Put a board on the list</h3>
    ${field("wood", "Wood")}
    <div class="grid">${field("length", `Length, ${unit}`)}${field("width", `Width, ${unit}`)}${field("thickness", `Thickness, ${unit}`)}${field("count", "How many")}${field("price", "Price of one")}</div>
    <p><button type="button" disabled=${!whole} onClick=${add}>Put on the list</button></p>
  </section>`;
}

/** A board with its parts. */
function Laid({ board, unit }) {
  const { stock, pieces } = board;
  if (!pieces.length) return null;
  const { length_mm: long, width_mm: wide } = stock;
  const names = pieces.map((/** @type {any} */ one) => one.part).join(", ");
  return html`<figure class="box-figure"><svg class="laid" viewBox=${`0 0 ${long} ${wide}`} role="img" aria-label=${`Board of ${stock.wood}, from which are cut: ${names}`}>
      <rect class="board" width=${long} height=${wide} />
      ${pieces.map((/** @type {any} */ one) => html`<rect class="piece" x=${one.x_mm} y=${wide - one.y_mm - one.width_mm} width=${one.length_mm} height=${one.width_mm} />`)}
    </svg><figcaption class="quiet">${stock.wood}, ${plain(long, unit)} × ${length(wide, unit)}: ${names}</figcaption></figure>`;
}

/** What no board on hand gives. */
function ToBuy({ cutting, unit }) {
  if (!cutting?.buy.length) return cutting ? html`<p>All parts fit on these boards.</p>` : null;
  return html`<p>Still to be bought:</p><ul class="checks">${cutting.buy.map(
    (/** @type {any} */ one) => html`<li>${one.wood}, ${length(one.thick_mm, unit)} planed, ${length(one.longest_mm, unit)} long and ${length(one.widest_mm, unit)} wide at least, for: ${one.parts.join(", ")}</li>`,
  )}</ul>`;
}
