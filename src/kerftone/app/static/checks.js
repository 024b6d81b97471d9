// @ts-check
// The shop's checks: a list that shrinks as they are mended, each with a button where the mend is a change of the drum.

import { html, useState } from "./vendor/preact-htm.js";
import { length } from "./lengths.js";
import { say } from "./talk.js";

const VERDICTS = { good: "Good", mind: "Mind", mend: "Mend" };
/** What a mend makes, by the last word of its key. @type {Record<string, string>} */
const MAKES = {
  round_over: "Round the edges by",
  height: "Make the walls",
  lip_thickness: "Make the lip",
  lip: "Let the lip reach",
  root_bar_height: "Make the root bars’ height",
  root_bar: "Make the root bars’ width",
  clearance: "Give it a gap of",
  grain_angle_deg: "Lay the top out along the grain",
  ball: "Take balls of",
  kind: "Put feet under it, of",
};

/** What the button of a mend says. @param {any} by @param {any} unit */
export function mendWords(by, unit) {
  const key = by.at.includes("feet") && by.at[2] === "height" ? "Make the feet" : MAKES[by.at.at(-1)] ?? "Make it";
  if (by.mm !== null) return `${key} ${length(by.mm, unit)}`;
  return by.at.at(-1) === "grain_angle_deg" ? key : `${key} ${by.value}`;
}

/** @param {{talk: import("./talk.js").Talk, shop: any, unit: any}} props */
export function Checks({ talk, shop, unit }) {
  const [all, setAll] = useState(false);
  if (!shop) return html`<section class="panel" aria-label="Checks"><h2>Checks</h2><p class="quiet">One moment.</p></section>`;
  if (shop.error) return html`<section class="panel trouble" role="alert" aria-label="Checks"><h2>It cannot be made so</h2><p>${shop.error.message}</p></section>`;
  const open = shop.checks.filter((/** @type {any} */ one) => one.verdict !== "good");
  const order = { mend: 0, mind: 1, good: 2 };
  const shown = [...(all ? shop.checks : open)].sort((a, b) => order[/** @type {"good"} */ (a.verdict)] - order[/** @type {"good"} */ (b.verdict)]);
  const mend = async (/** @type {any} */ one) => {
    const value = one.by.mm === null ? { value: one.by.value } : { mm: one.by.mm };
    if (await talk.change({ do: "set", at: one.by.at, ...value })) say(`${one.name}: mended.`);
  };
  return html`<section class="panel" aria-label="Checks">
    <h2>Checks <span class="quiet">${open.length ? `${open.length} of ${shop.checks.length} to look at` : `all ${shop.checks.length} are good`}</span></h2>
    <ul class="checks">${shown.map(
      (/** @type {any} */ one) => html`<li key=${one.name}>
        <span class=${`verdict ${one.verdict}`}>${VERDICTS[/** @type {"good"} */ (one.verdict)]}</span> <strong>${one.name}.</strong> ${one.numbers}
        ${one.mend && html`<br />${one.mend}`}
        ${one.by && html`<p class="buttons"><button type="button" class="strong" onClick=${() => mend(one)}>${mendWords(one.by, unit)}</button></p>`}
      </li>`,
    )}</ul>
    <p><button type="button" aria-pressed=${all ? "true" : "false"} onClick=${() => setAll(!all)}>${all ? "Only what is not good" : "Show what is good too"}</button></p>
  </section>`;
}
