// @ts-check
// Hear: the drum as an instrument. Press a tongue where you would strike it, or use the keys A to K.

import { html, useEffect, useRef, useState } from "./vendor/preact-htm.js";
import { AAndB } from "./a_and_b.js";
import { Choice } from "./fields.js";
import { Plan, shown, tongueShape } from "./plan.js";
import { Player, fetchSounds, placeBeside, placeOn } from "./play.js";
import { RoomAndPickup } from "./room_and_pickup.js";
import { phraseOf } from "./sides.js";
import { answerOf, say } from "./talk.js";

const KEYS = ["a", "s", "d", "f", "g", "h", "j", "k"];
const MALLETS = [["soft-rubber", "soft rubber"], ["hard-rubber", "hard rubber"], ["wood", "wood"]];
const ON = [["nothing", "nothing: a stand, the hands"], ["feet", "its feet, on a table"], ["table", "a table, flat"], ["lap", "a lap"]];
const GLOW_MS = 180;
const BEAT_S = 0.45;
const SOFTEST = 0.25;
const FIRMEST = 2.2;

/** The sounds, made again when the drum has changed and the solver has spoken. */
function useSounds(talk, mallet, on) {
  const [player, setPlayer] = useState(/** @type {Player | null} */ (null));
  const [making, setMaking] = useState(false);
  const context = useRef(/** @type {AudioContext | null} */ (null));
  const { sound, revision } = talk.state;
  const settled = sound?.by === "full solve" && sound.revision === revision;
  const fresh = player?.sounds.revision === revision && player?.sounds.mallet.replace(" ", "-") === mallet && player?.sounds.on === on;
  useEffect(() => {
    if (fresh || making || !settled) return;
    setMaking(true);
    fetchSounds(talk.address, mallet, on)
      .then((sounds) => {
        context.current ??= new AudioContext({ latencyHint: "interactive", sampleRate: sounds.rate_hz });
        setPlayer(new Player(context.current, sounds));
        say("The drum can be heard.");
      })
      .catch((error) => {
        talk.refuse(error);
      })
      .finally(() => setMaking(false));
  }, [fresh, making, settled, mallet, on, revision]);
  return { player, fresh, making };
}

/** @param {{talk: import("./talk.js").Talk, unit: any, chosen: number, choose: (n: number) => void}} props */
export function Hear({ talk, unit, chosen, choose }) {
  const { drum } = talk.state;
  const places = ON.filter(([key]) => key !== "feet" || drum.box.feet !== "none");
  const [mallet, setMallet] = useState("hard-rubber");
  const [on, setOn] = useState("nothing");
  const [stroke, setStroke] = useState(1);
  const standing = places.some(([key]) => key === on) ? on : "nothing";
  const [glow, setGlow] = useState(/** @type {Set<number>} */ (new Set()));
  const { player, fresh, making } = useSounds(talk, mallet, standing);
  const { kept } = talk;
  const setKept = (/** @type {(now: number[][]) => number[][]} */ next) => {
    talk.kept = next(talk.kept);
    talk.tell();
  };
  const [since, setSince] = useState(/** @type {number | null} */ (null));
  const lengths = drum.tongues.map(shown);
  const order = drum.tongues
    .map((/** @type {any} */ t, /** @type {number} */ n) => [t.target_hz, n])
    .sort((/** @type {number[]} */ a, /** @type {number[]} */ b) => a[0] - b[0])
    .map((/** @type {number[]} */ one) => one[1]);

  const light = (/** @type {number} */ n) => {
    setGlow((now) => new Set(now).add(n));
    setTimeout(() => setGlow((now) => new Set([...now].filter((one) => one !== n))), GLOW_MS);
  };
  const strike = (/** @type {number} */ n, along = 1, speed = stroke) => {
    if (!player || n >= drum.tongues.length) return;
    /** @type {AudioContext} */ (player.context).resume();
    player.strike(placeOn(player.sounds, n, along), speed);
    light(n);
    choose(n);
    if (since !== null) setKept((now) => [...now, [(performance.now() - since) / 1000, n, speed]]);
  };
  const strength = (/** @type {PointerEvent} */ event) =>
    event.pointerType !== "mouse" && event.pressure > 0 && event.pressure !== 0.5 ? SOFTEST + event.pressure * (FIRMEST - SOFTEST) : stroke;
  const press = (/** @type {number} */ n, /** @type {PointerEvent} */ event) => {
    event.preventDefault();
    const shape = tongueShape(drum, drum.tongues[n], lengths[n]);
    strike(n, (spot(event).x - shape.root) / (shape.tip - shape.root), strength(event));
  };
  const pressWood = (/** @type {PointerEvent} */ event) => {
    const kind = /** @type {Element} */ (event.target).classList;
    if (!player || kind.contains("tongue") || kind.contains("gone") || kind.contains("plan")) return;
    const { x, y } = spot(event);
    const place = placeBeside(player.sounds, x, y);
    /** @type {AudioContext} */ (player.context).resume();
    if (place) player.strike(place, strength(event));
  };
  const now = useRef(/** @type {any} */ (null));
  now.current = strike;
  useEffect(() => {
    const keyed = (/** @type {KeyboardEvent} */ event) => {
      const typing = event.target instanceof HTMLInputElement && event.target.type === "text";
      const at = KEYS.indexOf(event.key.toLowerCase());
      if (at < 0 || typing || event.repeat || event.ctrlKey || event.metaKey || event.target instanceof HTMLSelectElement) return;
      if (at < order.length) now.current(order[at]);
    };
    addEventListener("keydown", keyed);
    return () => removeEventListener("keydown", keyed);
  }, [order.join()]);

  const inTurn = order.map((/** @type {number} */ n, /** @type {number} */ at) => [at * BEAT_S, n, stroke]);
  const playAll = (/** @type {number[][]} */ played) => {
    if (!player) return;
    const context = /** @type {AudioContext} */ (player.context);
    context.resume().then(() => {
      player.phrase(played, context.currentTime + 0.05);
      for (const [at, n] of played) setTimeout(() => light(n), 50 + 1000 * at);
    });
  };
  const phrase = { kept, since, setKept, setSince, play: playAll, inTurn, talk, mallet, on: standing, drum };
  if (drum.lines === null) return html`<p class="empty">The tongues have no places yet: find the lengths first, in the view The top.</p>`;
  return html`<div class="hear-view">
    <section class="drawing" aria-label="The drum to play" onPointerDown=${pressWood}>
      <${Plan} drum=${drum} lengths=${lengths} sound=${talk.state.sound} chosen=${-1} unit=${unit} choose=${choose} press=${press} glow=${glow} marks=${null} />
    </section>
    <div class="strikers" role="group" aria-label="Strike a tongue">
      ${order.map((/** @type {number} */ n, /** @type {number} */ at) => html`<button type="button" disabled=${!player} class=${glow.has(n) ? "glow" : ""}
        onPointerDown=${(/** @type {PointerEvent} */ event) => strike(n, 1, strength(event))}
        onClick=${(/** @type {MouseEvent} */ event) => event.detail === 0 && strike(n)}>
        ${drum.tongues[n].note} ${KEYS[at] && html`<kbd>${KEYS[at].toUpperCase()}</kbd>`}</button>`)}
    </div>
    <p class="said" role="status">${heardWords(player, fresh, making, talk)}</p>
    <div class="panels">
      <section class="panel" aria-label="How it is struck">
        <h2>How it is struck</h2>
        <${Choice} label="Mallet" value=${mallet} options=${MALLETS} save=${setMallet} />
        <${Choice} label="The drum is on" value=${standing} options=${places} save=${setOn} />
        <label for="stroke">Stroke</label>
        <input id="stroke" type="range" min=${SOFTEST} max=${FIRMEST} step="0.05" value=${stroke} aria-valuetext=${`${stroke} metres a second`}
          onInput=${(/** @type {any} */ event) => setStroke(Number(event.target.value))} />
        <p class="hint">Soft on the left, firm on the right.</p>
        ${standing !== "nothing" && html`<p class="hint">Struck and saved as it sounds there. The pitches on the plan, A and B and the pickup are of the drum on nothing.</p>`}
      </section>
      <${Phrase} ...${phrase} ready=${player !== null} />
      ${drum.box.pickup && html`<${RoomAndPickup} talk=${talk} mallet=${mallet} inTurn=${inTurn} />`}
      <${AAndB} talk=${talk} unit=${unit} mallet=${mallet} />
    </div>
  </div>`;
}

/** Where on the board a press is. @param {PointerEvent} event */
function spot(event) {
  const svg = /** @type {any} */ (event.target).ownerSVGElement ?? event.target;
  return new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.querySelector(".board-turn").getScreenCTM().inverse());
}

/** @param {Player | null} player @param {boolean} fresh @param {boolean} making @param {any} talk */
function heardWords(player, fresh, making, talk) {
  const solving = talk.state.tasks.some((/** @type {any} */ one) => ["waiting", "running"].includes(one.state));
  if (player && fresh) return `Press a tongue where you would strike it: near the tip, in the middle, near the root; the wood beside the tongues sounds too. Sounds made from the model, struck with ${player.sounds.mallet.replace("-", " ")}. At the pitches it has in air, without a room: a preview, not a recording.`;
  if (player) return "Out of date: this is how it sounded before the last change. It is being made again.";
  return making || solving ? "The sounds are being made. This takes some seconds." : "The sounds are made once the drum has been solved.";
}

/** A phrase that is played, kept and saved. */
function Phrase({ kept, since, setKept, setSince, play, inTurn, talk, mallet, on, drum, ready }) {
  const recording = since !== null;
  const begin = () => {
    setKept(() => []);
    setSince(performance.now());
  };
  const save = async () => {
    try {
      const played = kept.length ? phraseOf(talk) : inTurn;
      const answer = await answerOf(`${talk.address}/phrase`, { played, mallet, on });
      const link = document.createElement("a");
      link.href = URL.createObjectURL(await answer.blob());
      link.download = `${drum.name}.wav`;
      link.click();
      setTimeout(() => URL.revokeObjectURL(link.href), 10_000);
    } catch (error) {
      talk.refuse(error);
    }
  };
  return html`<section class="panel" aria-label="A phrase">
    <h2>A phrase</h2>
    <p>${recording ? `Being kept: ${kept.length} strokes so far.` : kept.length ? `Kept: ${kept.length} strokes.` : "Nothing is kept yet: the notes in turn are played and saved."}</p>
    <p class="buttons">
      <button type="button" disabled=${!ready} onClick=${() => play(inTurn)}>The notes in turn</button>
      ${recording
        ? html`<button type="button" class="strong" onClick=${() => setSince(null)}>That is it</button>`
        : html`<button type="button" disabled=${!ready} onClick=${begin}>Keep what I play</button>`}
      <button type="button" disabled=${!ready || recording || !kept.length} onClick=${() => play(phraseOf(talk))}>Play it again</button>
      <button type="button" disabled=${!ready || recording} onClick=${save}>Save as a sound file</button>
    </p>
  </section>`;
}
