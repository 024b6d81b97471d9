// @ts-check
// Sound holes: each with its part, sizes and place, put in and taken out.

import { html } from "./vendor/preact-htm.js";
import { Choice, Length } from "./fields.js";

const WALLS = [["front", "the front wall"], ["back", "the back wall"], ["left", "the left wall"], ["right", "the right wall"]];
const SHAPES = [["round", "round"], ["slot", "a slot"]];
/** A new slot is so many times as long as it is wide. */
const SLOT = 3;

/** @param {{talk: import("./talk.js").Talk, unit: any}} props */
export function SoundHolesForm({ talk, unit }) {
  const { bottom, sound_holes: holes } = talk.state.drum.box;
  const parts = bottom ? [...WALLS, ["bottom", "the bottom"]] : WALLS;
  const [free] = parts.map(([part]) => part).filter((part) => !holes.some((/** @type {any} */ one) => one.part === part)).concat("front");
  return html`<section class="panel" aria-label="Sound holes">
    <h2>Sound holes</h2>
    ${holes.length === 0 && html`<p class="quiet">The box breathes through its slots alone.</p>`}
    ${holes.map((/** @type {any} */ hole, /** @type {number} */ at) => html`<${Hole} key=${at} talk=${talk} unit=${unit} hole=${hole} at=${at} parts=${parts} />`)}
    <p><button type="button" onClick=${() => talk.change({ do: "sound_hole", part: free })}>Put in a sound hole</button></p>
    <p class="hint">Where a hole goes: left empty, it lies in the middle of what is free. A hole lets the box breathe at a higher pitch.</p>
  </section>`;
}

/** @param {{talk: import("./talk.js").Talk, unit: any, hole: any, at: number, parts: string[][]}} props */
function Hole({ talk, unit, hole, at, parts }) {
  const name = `Hole ${at + 1}`;
  const slot = hole.length_mm !== null;
  const flat = hole.part === "bottom";
  const key = (/** @type {string} */ last) => ["sound_holes", at, last];
  const mm = (/** @type {string} */ last) => (/** @type {object} */ value) => talk.change({ do: "set", at: key(last), ...value });
  const move = (/** @type {string} */ value) => talk.change({ do: "set", at: key("part"), value }, ...["along", "up"].map((last) => ({ do: "set", at: key(last), value: null })));
  const shape = (/** @type {string} */ value) => talk.change(value === "slot" ? { do: "set", at: key("length"), mm: SLOT * hole.diameter_mm } : { do: "set", at: key("length"), value: null });
  return html`<div role="group" aria-label=${name}>
    <div class="grid">
      <${Choice} label=${`${name} is in`} value=${hole.part} options=${parts} save=${move} />
      <${Choice} label=${`${name}, shape`} value=${slot ? "slot" : "round"} options=${SHAPES} save=${shape} />
      <${Length} label=${`${name}, ${slot ? "width" : "across"}`} mm=${hole.diameter_mm} unit=${unit} save=${mm("diameter")} />
      ${slot && html`<${Length} label=${`${name}, length`} mm=${hole.length_mm} unit=${unit} save=${mm("length")} />`}
      <${Length} label=${`${name}, from the ${flat ? "bottom’s left end" : "wall’s left end"}`} mm=${hole.along_mm} unit=${unit} save=${mm("along")} empty="in the middle" />
      <${Length} label=${`${name}, from the ${flat ? "bottom’s front edge" : "wall’s lower edge"}`} mm=${hole.up_mm} unit=${unit} save=${mm("up")} empty="in the middle" />
    </div>
    <p><button type="button" aria-label=${`Take out: ${name.toLowerCase()}`} onClick=${() => talk.change({ do: "sound_hole", number: at })}>Take it out</button></p>
  </div>`;
}
