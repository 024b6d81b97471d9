// @ts-check
// The table of woods: this drum in each of them, estimated until it is worked out, to be sorted by any column.

import { html } from "./vendor/preact-htm.js";
import { cents, centsBetween } from "./lengths.js";

/** @typedef {{species: any, guess: any, told: any, now: number[] | null}} Row A wood, the drum estimated in it, the
 * drum worked out in it, and what its notes are now. */

/** @param {number[]} all */
const mean = (all) => all.reduce((sum, one) => sum + one, 0) / all.length;
const about = (/** @type {string} */ words) => `≈ ${words}`;
const GAP = 10;

/** How far each note moves, as worked out or as estimated. @param {Row} row @returns {number[] | null} */
function moves({ guess, told, now }) {
  if (told && now) return told.tongues.map((/** @type {any} */ t, /** @type {number} */ n) => centsBetween(t.hz, now[n]));
  return guess?.moves_cents ?? null;
}

/** @param {Row} row */
function movesWords(row) {
  const all = moves(row);
  if (!all) return "–";
  if (row.told?.refit) return "fitted anew";
  const [low, high] = [Math.min(...all), Math.max(...all)].map(Math.round);
  const words = high - low < GAP ? cents(Math.round(mean(all))) : `${cents(low)} to ${cents(high)}`;
  return row.told ? words : about(words);
}

const rings = (/** @type {any} */ told) => Math.max(...told.tongues.map((/** @type {any} */ t) => t.t60_s));
const loud = (/** @type {any} */ told) => 20 * Math.log10(told.pascal_at_1_m / 2e-5);
const kg = (/** @type {number | null | undefined} */ grams) => (grams ? (grams / 1000).toFixed(2) : "–");
const sure = (/** @type {Row} */ { species, told }) =>
  told ? mean(told.tongues.map((/** @type {any} */ t) => t.plus_minus_cents)) : species.plus_minus_cents;

/** The columns: a key, the words above, what to sort by (null last), what is shown.
 * @type {Array<[string, string, (row: Row) => any, (row: Row) => any]>} */
export const COLUMNS = [
  ["name", "Wood", ({ species }) => species.name.toLowerCase(), ({ species }) => species.name],
  ["notes", "Notes move, cents", (row) => moves(row) && mean(moves(row) ?? []), movesWords],
  ["rings", "Rings, s", ({ told, guess }) => (told ? rings(told) : guess?.rings_s ?? null),
    ({ told, guess }) => `${told ? rings(told).toFixed(1) : guess ? about(guess.rings_s.toFixed(1)) : "–"}${guess ? ` ± ${guess.rings_pct} %` : ""}`],
  ["loud", "Loudest at 1 m, dB", ({ told }) => (told ? loud(told) : null), ({ told }) => (told ? loud(told).toFixed(0) : "–")],
  ["weight", "Drum weighs, kg", ({ told, guess }) => told?.weight_g ?? guess?.weight_g ?? null, ({ told, guess }) => kg(told?.weight_g ?? guess?.weight_g)],
  ["sure", "Known to, ± cents", sure, (row) => Math.round(sure(row))],
  ["drift", "Dry and damp weeks, cents", ({ guess }) => (guess?.drift_cents ? guess.drift_cents[0] - guess.drift_cents[1] : null),
    ({ guess }) => (guess?.drift_cents ? about(guess.drift_cents.map((/** @type {number} */ one) => cents(Math.round(one))).join(", ")) : "–")],
  ["price", "Price of a board on hand", ({ guess }) => guess?.price ?? null, ({ guess }) => guess?.price ?? "–"],
  ["heavy", "Density, g/cm³", ({ species }) => species.density_kg_m3, ({ species }) => (species.density_kg_m3 / 1000).toFixed(2)],
  ["stiff", "Stiffness, GPa", ({ species }) => species.e_l_gpa, ({ species }) => species.e_l_gpa.toFixed(1)],
];

/** The rows in order; what has no value comes last. @param {Row[]} rows @param {string} by @param {boolean} up */
export function sorted(rows, by, up) {
  const key = (COLUMNS.find((one) => one[0] === by) ?? COLUMNS[0])[2];
  return [...rows].sort((one, other) => {
    const [a, b] = [key(one), key(other)];
    if (a === null || b === null) return Number(a === null) - Number(b === null);
    return (up ? 1 : -1) * (a < b ? -1 : a > b ? 1 : 0);
  });
}

/** @param {{rows: Row[], own: string, by: string, up: boolean, sort: (key: string) => void, busy: boolean,
 *   lengths: boolean, work: (wood: string, refit: boolean) => void}} props */
export function WoodRows({ rows, own, by, up, sort, busy, lengths, work }) {
  const [[, named], ...rest] = COLUMNS;
  const head = (/** @type {string} */ key, /** @type {string} */ words) => html`<th scope="col" aria-sort=${key === by ? (up ? "ascending" : "descending") : null}>
    <button type="button" class="sorts" onClick=${() => sort(key)}>${words} ${key === by ? (up ? "▲" : "▼") : ""}</button></th>`;
  return html`<div class="scrolls" tabindex="0" role="group" aria-label="Woods, to be scrolled sideways"><table>
    <thead><tr>${head("name", named)}<th scope="col">This drum in it</th>${rest.map(([key, words]) => head(key, words))}</tr></thead>
    <tbody>${rows.map((row) => {
      const { name } = row.species;
      return html`<tr key=${name} class=${name === own ? "own" : ""}>
        <th scope="row">${name}</th>
        <td class="both"><button type="button" disabled=${busy || !lengths} aria-label=${`Hear it in ${name}`} onClick=${() => work(name, false)}>Hear</button>
          <button type="button" disabled=${busy} aria-label=${`Fit anew in ${name}`} onClick=${() => work(name, true)}>Fit anew</button></td>
        ${rest.map(([key, , , shown]) => html`<td key=${key}>${shown(row)}</td>`)}</tr>`;
    })}</tbody>
  </table></div>`;
}
