// @ts-check
// A and B: the same phrase on two drums, one press each, or one after the other.

import { html, useEffect, useState } from "./vendor/preact-htm.js";
import { useName } from "./fields.js";
import { cents } from "./lengths.js";
import { usePress } from "./pressed.js";
import { knownSide, louder, playSides, sideOptions, sideWords, useVariants, workOut } from "./sides.js";
import { ask, say } from "./talk.js";

/** @typedef {{value: string, thickness: string, refit: boolean}} Choosing */
/** @type {Choosing[]} */
const FIRST = [{ value: "own", thickness: "", refit: false }, { value: "thickness", thickness: "", refit: false }];

/** @param {Choosing} chosen @returns {import("./sides.js").Side | null} */
function sideOf(chosen) {
  if (chosen.value === "own") return { kind: "own", name: "" };
  if (chosen.value === "thickness") return chosen.thickness.trim() ? { kind: "thickness", name: chosen.thickness.trim(), refit: chosen.refit } : null;
  const [kind, ...name] = chosen.value.split(" ");
  return { kind: /** @type {any} */ (kind), name: name.join(" "), refit: kind === "wood" && chosen.refit };
}

/** @param {{talk: import("./talk.js").Talk, unit: any, mallet: string}} props */
export function AAndB({ talk, unit, mallet }) {
  const [variants] = useVariants(talk);
  const [woods, setWoods] = useState(/** @type {any[]} */ ([]));
  const [chosen, setChosen] = useState(FIRST);
  const { busy, press, doing } = usePress(talk, "other");
  useEffect(() => {
    ask("/api/choices").then((found) => setWoods(found.woods), (error) => talk.refuse(error));
  }, []);
  const own = talk.state.drum.top.wood;
  const sides = chosen.map(sideOf);
  const whole = sides.every(Boolean);
  const found = sides.map((side) => side && knownSide(talk, side, unit, mallet));
  const set = (/** @type {number} */ at, /** @type {Partial<Choosing>} */ more) => setChosen(chosen.map((one, n) => (n === at ? { ...one, ...more } : one)));
  const play = (/** @type {number[]} */ which) => press(async () => {
    const ready = [];
    for (const side of sides) ready.push(await workOut(talk, /** @type {any} */ (side), unit, mallet));
    await playSides(which.map((at) => ready[at]), ready);
    say(which.map((at) => "AB"[at]).join(", then "));
  });
  return html`<section class="panel" aria-label="A and B">
    <h2>A and B <span class="quiet">the same phrase on both</span></h2>
    ${[0, 1].map((at) => html`<${Choosing} key=${at} letter=${"AB"[at]} chosen=${chosen[at]} set=${(/** @type {Partial<Choosing>} */ more) => set(at, more)}
      options=${sideOptions(variants, woods, own)} unit=${unit} />`)}
    ${doing}
    <p class="buttons">
      <button type="button" class="strong" disabled=${!whole || busy} onClick=${() => play([0, 1])}>A, then B</button>
      <button type="button" disabled=${!whole || busy} onClick=${() => play([0])}>A</button>
      <button type="button" disabled=${!whole || busy} onClick=${() => play([1])}>B</button>
    </p>
    ${found[0] && found[1] ? html`<${Told} a=${found[0]} b=${found[1]} sides=${sides} />` : html`<p class="hint">${talk.kept.length ? "The phrase you kept" : "The notes in turn"}. Each is worked out at the first press, which takes some seconds, and is there at once after that.</p>`}
  </section>`;
}

function Choosing({ letter, chosen, set, options, unit }) {
  const name = useName();
  const other = chosen.value !== "own" && !chosen.value.startsWith("variant");
  return html`<div class="grid">
    <div class="field whole-row"><label for=${name}>${letter} is</label><select id=${name} value=${chosen.value} onChange=${(/** @type {any} */ event) => set({ value: event.target.value })}>${options}</select></div>
    ${chosen.value === "thickness" && html`<div class="field"><label for=${`${name}-t`}>${letter}, thickness <span class="unit">${unit}</span></label>
      <input id=${`${name}-t`} autocomplete="off" inputmode=${unit === "in" ? "text" : "decimal"} value=${chosen.thickness} onInput=${(/** @type {any} */ event) => set({ thickness: event.target.value })} /></div>`}
    ${other && html`<div class="field"><label for=${`${name}-l`}>Its lengths</label><select id=${`${name}-l`} value=${chosen.refit ? "refit" : "same"} onChange=${(/** @type {any} */ event) => set({ refit: event.target.value === "refit" })}>
      <option value="same">as they are</option><option value="refit">fitted anew</option></select></div>`}
  </div>`;
}

/** What the two differ by. */
function Told({ a, b, sides }) {
  const apart = louder(b, a);
  const rings = (/** @type {any} */ one) => one.tongues.reduce((/** @type {number} */ sum, /** @type {any} */ t) => sum + t.t60_s, 0) / one.tongues.length;
  const pairs = Math.min(a.tongues.length, b.tongues.length);
  const moved = Array.from({ length: pairs }, (_, n) => 1200 * Math.log2(b.tongues[n].hz / a.tongues[n].hz));
  const loud = Math.abs(apart) < 0.5 ? "as loud as A" : `${Math.abs(apart).toFixed(0)} dB ${apart > 0 ? "louder" : "quieter"} than A`;
  return html`<p>A is ${sideWords(sides[0]).toLowerCase()}, B is ${sideWords(sides[1]).toLowerCase()}. B is ${loud}; its notes ring ${rings(b).toFixed(1)} s on the mean, those of A ${rings(a).toFixed(1)} s, to fall by 60 dB.</p>
    <p class="quiet">B’s notes against A’s: ${moved.map((one, n) => `${a.tongues[n].note} ${cents(one)}`).join(", ")} cents.</p>`;
}
