// @ts-check
// How it moves: each note's motion of the whole drum, slowed and enlarged, turned with a finger, a mouse or the arrow
// keys; where the wood stands still on the plan; which neighbours move with it.

import { html, useEffect, useRef, useState } from "./vendor/preact-htm.js";
import { fetchMotions } from "./motions.js";
import { Plan, shown } from "./plan.js";
import { drawStill } from "./still.js";
import { say } from "./talk.js";

/** The same as in solid.js, which is loaded only once it is shown. */
const SWING_S = 1.8;
const SIDES = [["corner", "From a corner"], ["above", "From above"], ["front", "From the front"], ["below", "From below"]];
/** @type {Record<string, [number, number]>} */
const TURNS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };
const calm = () => matchMedia("(prefers-reduced-motion: reduce)").matches;

/** The motions, asked for again when the drum has changed and been solved. */
function useMotions(talk) {
  const [motions, setMotions] = useState(/** @type {import("./motions.js").Motions | null} */ (null));
  const [making, setMaking] = useState(false);
  const { sound, revision } = talk.state;
  const settled = sound?.by === "full solve" && sound.revision === revision;
  const fresh = motions?.revision === revision;
  useEffect(() => {
    if (fresh || making || !settled) return;
    setMaking(true);
    fetchMotions(talk.address)
      .then((found) => {
        setMotions(found);
        say("The motions can be seen.");
      }, (error) => talk.refuse(error))
      .finally(() => setMaking(false));
  }, [fresh, making, settled, revision]);
  return { motions, fresh };
}

/** @param {{talk: import("./talk.js").Talk, unit: any, chosen: number, choose: (n: number) => void}} props */
export function Moves({ talk, unit, chosen, choose }) {
  const { drum } = talk.state;
  const { motions, fresh } = useMotions(talk);
  const [moving, setMoving] = useState(!calm());
  const [size, setSize] = useState(0.6);
  if (drum.lines === null) return html`<p class="empty">The tongues have no places yet: find the lengths first, in the view The top.</p>`;
  const n = Math.min(chosen, drum.tongues.length - 1);
  const note = motions?.notes[n];
  const whole = motions && note;
  return html`<div class="moves-view">
    <section class="drawing" aria-label="The drum in motion">
      ${whole ? html`<${Stage} motions=${motions} n=${n} size=${size} moving=${moving} setMoving=${setMoving} />` : html`<p class="stage empty quiet">The motions come once the drum has been solved. This takes some seconds.</p>`}
      ${whole && !fresh && html`<p class="said" role="status">Out of date: this is how it moved before the last change.</p>`}
    </section>
    <div class="strikers" role="group" aria-label="Which note">
      ${drum.tongues.map((/** @type {any} */ t, /** @type {number} */ at) => html`<button type="button" aria-pressed=${at === n ? "true" : "false"} onClick=${() => choose(at)}>${t.note}</button>`)}
    </div>
    ${whole && html`<div class="panels">
      <${Told} note=${note} drum=${drum} size=${size} setSize=${setSize} />
      <section class="panel" aria-label="Where it stands still"><h2>Where it stands still</h2>
        <${Plan} drum=${drum} lengths=${drum.tongues.map(shown)} sound=${null} chosen=${n} unit=${unit} choose=${choose} marks=${html`<${Still} lines=${note.still} />`} />
        <p class="hint">Seen from above. ${note.still.length === 0 && "In this note all that moves goes the same way: there is no line of rest. "}The lines run where the wood stands still while the rest of it moves; it moves one way on this side of a line and the other way on that. A weight on a line changes this note least.</p>
      </section>
    </div>`}
  </div>`;
}

function Still({ lines }) {
  return html`<g class="still">${lines.map((/** @type {number[][]} */ line) => html`<polyline points=${line.map((one) => one.join(",")).join(" ")} />`)}</g>`;
}

/** What the note is and what moves with it. */
function Told({ note, drum, size, setSize }) {
  const slowed = Math.round(note.hz * SWING_S);
  const others = note.with.map((/** @type {any} */ one) => `${drum.tongues[one.tongue].note} by ${Math.round(100 * one.share)} % of it, ${one.together ? "the same way" : "the other way"}`);
  return html`<section class="panel" aria-label="This note’s motion">
    <h2>${note.note} <span class="quiet">${note.hz.toFixed(1)} Hz, ${Math.round(100 * note.clarity)} % clear</span></h2>
    <p>${others.length ? `Where it is struck moves most. With it move ${others.join("; ")}.` : "No other tongue moves with it by more than a twentieth."}</p>
    <label for="how-far">How far it is shown to move</label>
    <input id="how-far" type="range" min="0" max="1" step="0.05" value=${size} aria-valuetext=${`${Math.round(100 * size)} %`} onInput=${(/** @type {any} */ event) => setSize(Number(event.target.value))} />
    <p class="hint">Slowed some ${slowed} times. The motion is enlarged to be seen, each note’s by its own measure.</p>
  </section>`;
}

/** The picture and the buttons that turn it. */
function Stage({ motions, n, size, moving, setMoving }) {
  const canvas = useRef(/** @type {any} */ (null));
  const [solid, setSolid] = useState(/** @type {any} */ (null));
  const [flat, setFlat] = useState(false);
  useEffect(() => {
    let made = /** @type {any} */ (null);
    let wanted = true;
    import("./solid.js")
      .then(({ Solid }) => {
        if (wanted) setSolid((made = new Solid(canvas.current, motions)));
      })
      .catch(() => wanted && setFlat(true));
    return () => {
      wanted = false;
      made?.close();
    };
  }, [motions]);
  useEffect(() => solid?.show(n, size, moving), [solid, n, size, moving]);
  useEffect(() => {
    if (flat) drawStill(canvas.current, motions, n, size);
  }, [flat, motions, n, size]);
  const turned = (/** @type {KeyboardEvent} */ event) => {
    const by = TURNS[event.key];
    if (!by || !solid) return;
    event.preventDefault();
    solid.turn(...by);
  };
  return html`<div class="stage" role="group" tabindex="0" aria-label="The drum, turned with the arrow keys" onKeyDown=${turned}>
      <canvas key=${flat ? "flat" : "solid"} ref=${canvas} role="img" aria-label=${`How the drum moves when ${motions.notes[n].note} sounds`}></canvas>
    </div>
    ${flat
      ? html`<p class="said">This browser cannot draw in three dimensions, so this is a still picture, at the furthest of the swing.</p>`
      : html`<p class="buttons"><button type="button" class="strong" aria-pressed=${moving ? "true" : "false"} onClick=${() => setMoving(!moving)}>${moving ? "Hold it still" : "Let it move"}</button>
          ${SIDES.map(([side, words]) => html`<button type="button" onClick=${() => solid?.from(side)}>${words}</button>`)}</p>
        <p class="hint">Turn it with a finger, the mouse or the arrow keys; two fingers or the wheel bring it nearer.</p>`}`;
}
