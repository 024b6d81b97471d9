// @ts-check
// What is laid side by side and heard against each other: this drum, its variants, other woods and thicknesses. What
// was once worked out is kept while the page is open, so that hearing it again is one press.

import { html, useEffect, useState } from "./vendor/preact-htm.js";
import { ask } from "./talk.js";

/** @typedef {{kind: "own" | "variant" | "wood" | "thickness", name: string, refit?: boolean}} Side */

/** The same side has the same name. @param {Side} side */
export const sideName = (side) => `${side.kind} ${side.name}${side.refit ? " refit" : ""}`;

/** @param {Side} side */
export function sideWords(side) {
  if (side.kind === "own") return "This drum";
  if (side.kind === "thickness") return `${side.name} thick${side.refit ? ", fitted anew" : ""}`;
  return `${side.name}${side.refit ? ", fitted anew" : ""}`;
}

/** The variants there are, asked for again whenever the drum has changed.
 * @param {import("./talk.js").Talk} talk @returns {[any[], (found: any[]) => void]} */
export function useVariants(talk) {
  const [variants, setVariants] = useState(/** @type {any[]} */ ([]));
  useEffect(() => {
    let wanted = true;
    ask(`${talk.address}/variants`).then(
      (found) => wanted && setVariants(found.variants),
      (error) => talk.refuse(error),
    );
    return () => {
      wanted = false;
    };
  }, [talk.state.revision]);
  return [variants, setVariants];
}

/** @type {Map<string, any>} */
const known = new Map();

/** The phrase that all are heard with. @param {import("./talk.js").Talk} talk */
export function phraseOf(talk) {
  const first = talk.kept[0]?.[0] ?? 0;
  return talk.kept.map(([at, n, speed]) => [Math.min(at - first, 300), n, speed]);
}

/** @param {import("./talk.js").Talk} talk @param {Side} side @param {string} unit @param {string} mallet */
function nameOf(talk, side, unit, mallet) {
  return JSON.stringify([talk.address, talk.state.revision, sideName(side), unit, mallet, phraseOf(talk)]);
}

/** What is known of a side already; undefined if nothing.
 * @param {import("./talk.js").Talk} talk @param {Side} side @param {string} unit @param {string} mallet */
export function knownSide(talk, side, unit, mallet) {
  return known.get(nameOf(talk, side, unit, mallet));
}

/** Work a side out: its numbers and its sound. What was refused is thrown.
 * @param {import("./talk.js").Talk} talk @param {Side} side @param {string} unit @param {string} mallet */
export async function workOut(talk, side, unit, mallet) {
  const name = nameOf(talk, side, unit, mallet);
  if (!known.has(name)) {
    const found = await ask(`${talk.address}/other`, {
      variant: side.kind === "variant" ? side.name : null,
      wood: side.kind === "wood" ? side.name : null,
      thickness: side.kind === "thickness" ? side.name : null,
      unit,
      refit: Boolean(side.refit),
      mallet,
      played: phraseOf(talk),
    });
    known.set(name, { ...found, data: await (await fetch(found.sound)).arrayBuffer() });
  }
  return known.get(name);
}

/** @type {AudioContext | null} */
let context = null;
/** @type {AudioBufferSourceNode[]} */
let playing = [];

/** Play what was worked out, one after the other and each as loud against the others as the model says.
 * @param {any[]} sides @param {any[]} among What the loudness is measured against. */
export async function playSides(sides, among) {
  context ??= new AudioContext();
  const out = context;
  await out.resume();
  for (const one of playing) one.stop();
  playing = [];
  const loudest = Math.max(...among.map((one) => one.pascal_at_1_m));
  let from = out.currentTime + 0.05;
  for (const side of sides) {
    const buffer = await out.decodeAudioData(side.data.slice(0));
    const source = new AudioBufferSourceNode(out, { buffer });
    source.connect(new GainNode(out, { gain: (0.8 * side.pascal_at_1_m) / loudest })).connect(out.destination);
    source.start(from);
    playing.push(source);
    from += buffer.duration;
  }
}

/** How much louder one is than the other, in dB. @param {any} one @param {any} other */
export const louder = (one, other) => 20 * Math.log10(one.pascal_at_1_m / other.pascal_at_1_m);

/** The sides one can choose from: as options of a list.
 * @param {any[]} variants @param {any[]} woods @param {string} own */
export function sideOptions(variants, woods, own) {
  return html`<option value="own">This drum, as it is</option>
    ${variants.length > 0 && html`<optgroup label="Variants">${variants.filter((one) => !one.trouble).map((one) => html`<option value=${`variant ${one.name}`}>${one.name}</option>`)}</optgroup>`}
    <optgroup label="Another thickness"><option value="thickness">thickness, typed below</option></optgroup>
    <optgroup label="Another wood">${woods.filter((one) => one.name !== own).map((one) => html`<option value=${`wood ${one.name}`}>${one.name}</option>`)}</optgroup>`;
}
