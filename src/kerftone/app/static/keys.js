// @ts-check
// Notes to tap: one row of twelve for each octave, low to high, each a button that stays pressed.

import { html } from "./vendor/preact-htm.js";

const NAMES = ["C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"];
const OCTAVES = [2, 3, 4, 5];
const A4 = 57;

/** How many semitones above C0. @param {string} note */
function height(note) {
  return NAMES.indexOf(note.slice(0, -1)) + 12 * Number(note.slice(-1));
}

/** @param {{chosen: string[], choose: (notes: string[]) => void, heard: (hz: number) => void}} props */
export function Keys({ chosen, choose, heard }) {
  const tap = (/** @type {string} */ note) => {
    const without = chosen.filter((one) => one !== note);
    if (without.length === chosen.length) {
      heard(440 * 2 ** ((height(note) - A4) / 12));
      without.push(note);
    }
    choose(without.sort((one, other) => height(one) - height(other)));
  };
  return html`<div class="keys">${OCTAVES.map(
    (octave) => html`<div class="octave" role="group" aria-label=${`Octave ${octave}`}>
      ${NAMES.map((name) => {
        const note = `${name}${octave}`;
        const dark = name.length > 1 ? "dark" : "";
        return html`<button type="button" class=${dark} aria-pressed=${chosen.includes(note) ? "true" : "false"} onClick=${() => tap(note)}>${note}</button>`;
      })}
    </div>`,
  )}</div>`;
}
