// @ts-check
// Measured boards: weighed and tapped on the bench, their constants with a ± that shrinks tap by tap; the drum heard
// in one, and its top taken from it.

import { html, useEffect, useRef, useState } from "./vendor/preact-htm.js";
import { Choice, Doing, useName } from "./fields.js";
import { length } from "./lengths.js";
import { ask, say } from "./talk.js";

const MOTIONS = [["along", "bending along"], ["twisting", "twisting"], ["across", "bending across"]];
/** What each constant is in words. @type {Array<[string, string]>} */
const CONSTANTS = [["e_l_gpa", "stiff along the grain"], ["e_r_gpa", "stiff across the rings"], ["e_t_gpa", "stiff along the rings"], ["g_lr_gpa", "shear, grain and across the rings"], ["g_lt_gpa", "shear, grain and along the rings"]];
const EMPTY = { name: "", wood: "", length: "", width: "", thickness: "", mass: "", moisture: "12", cut: "flatsawn" };

/** @param {{talk: import("./talk.js").Talk, unit: any, busy: boolean, hear: (board: any, refit: boolean) => any}} props */
export function Measured({ talk, unit, busy, hear }) {
  const [boards, setBoards] = useState(/** @type {any[]} */ ([]));
  const [making, setMaking] = useState(false);
  const [chosen, setChosen] = useState("");
  const { drum } = talk.state;
  useEffect(() => {
    ask(`${talk.address}/boards`).then((found) => setBoards(found.boards), (error) => talk.refuse(error));
  }, [talk.state.revision]);
  const send = async (/** @type {object} */ sent, where = "board") => {
    try {
      const found = await ask(`${talk.address}/${where}`, sent);
      talk.forgive();
      setBoards(found.boards);
      setChosen(found.name);
      return found;
    } catch (error) {
      talk.refuse(error);
      scrollTo(0, 0);
      return null;
    }
  };
  const take = (/** @type {any} */ one) => talk.change({ do: "board", file: one.file, cut: one.cut });
  const open = boards.find((one) => one.name === chosen);
  return html`<section class="panel" aria-label="Measured boards">
    <h2>Measured boards <span class="quiet">${drum.top.board ? `the top is from ${drum.top.board}` : "a board in hand, weighed and tapped"}</span></h2>
    ${boards.length === 0 && html`<p class="quiet">None yet. Boards of one species differ by a semitone or two; some taps with a knuckle tell which board you have.</p>`}
    <ul class="checks">${boards.map((one) => html`<li key=${one.name}>
      <strong>${one.name}</strong> ${one.trouble ? html`<span class="trouble">${one.trouble}</span>` : html`<span class="quiet">${one.wood}, ${(one.density_kg_m3 / 1000).toFixed(2)} g/cm³${one.constants ? `, ${one.constants.e_l_gpa[0].toFixed(1)} GPa ± ${Math.round(100 * one.constants.e_l_gpa[1])} %` : ", not tapped yet"}</span>`}
      ${!one.trouble && html`<p class="buttons"><button type="button" aria-pressed=${chosen === one.name ? "true" : "false"} onClick=${() => setChosen(chosen === one.name ? "" : one.name)} aria-label=${`Tap it: ${one.name}`}>Tap it</button>
        <button type="button" disabled=${busy || !one.constants} aria-label=${`Hear: the drum in ${one.name}`} onClick=${() => hear(one, false)}>Hear</button>
        <button type="button" disabled=${busy || !one.constants} aria-label=${`Fit anew: the drum in ${one.name}`} onClick=${() => hear(one, true)}>Fit anew</button>
        <button type="button" disabled=${!one.constants} aria-label=${`Take it for the top: ${one.name}`} onClick=${() => take(one)}>Take it for the top</button></p>`}
    </li>`)}</ul>
    ${open && !open.trouble && html`<${Tapping} key=${open.name} talk=${talk} board=${open} unit=${unit} send=${send} />`}
    ${making
      ? html`<${NewBoard} unit=${unit} done=${async (/** @type {object} */ typed) => (await send({ do: "new", unit, ...typed })) && setMaking(false)} cancel=${() => setMaking(false)} />`
      : html`<p><button type="button" onClick=${() => setMaking(true)}>Measure a board</button></p>`}
  </section>`;
}

/** The heading of a form that has just been opened: there the keyboard goes on, and a screen reader begins. */
function useHead() {
  const head = useRef(/** @type {HTMLElement | null} */ (null));
  useEffect(() => head.current?.focus(), []);
  return head;
}

/** Tap a board: where to hold and tap, the tones, and what they tell. */
function Tapping({ talk, board, unit, send }) {
  const [motion, setMotion] = useState("along");
  const [hz, setHz] = useState("");
  const [busy, setBusy] = useState(false);
  const name = useName();
  const head = useHead();
  const task = talk.task("board");
  const keep = async () => {
    setBusy(true);
    if (await send({ do: "tap", name: board.name, motion, hz })) {
      setHz("");
      say(`The tap of ${board.name} is kept.`);
    }
    setBusy(false);
  };
  const hear = async (/** @type {Blob} */ recording) => {
    setBusy(true);
    if (await send(recording, `board/${encodeURIComponent(board.name)}/heard?motion=${motion}`)) say(`The taps of ${board.name} are heard and kept.`);
    setBusy(false);
  };
  const under = busy && task && ["waiting", "running"].includes(task.state);
  return html`<div class="tapping" role="group" aria-label=${`Tapping ${board.name}`}>
    <h3 tabindex="-1" ref=${head}>Tap ${board.name} <span class="quiet">${board.size_mm.map((/** @type {number} */ mm) => length(mm, unit)).join(" × ")}, ${Math.round(board.mass_g)} g</span></h3>
    <div class="grid"><${Choice} label="Which motion" value=${motion} options=${MOTIONS} save=${setMotion} />
      <div class="field"><label for=${name}>Tones heard, Hz</label><input id=${name} autocomplete="off" inputmode="decimal" value=${hz} onInput=${(/** @type {any} */ event) => setHz(event.target.value)}
        onKeyDown=${(/** @type {KeyboardEvent} */ event) => event.key === "Enter" && hz.trim() && keep()} /></div></div>
    <figure class="box-figure"><img class="hold" src=${`${talk.address}/hold/${encodeURIComponent(board.name)}/${motion}`} alt="Where to hold the board and where to tap it" /><figcaption>${board.how[motion]}</figcaption></figure>
    ${under ? html`<${Doing} task=${task} stop=${() => ask(`/api/task/${task.number}/stop`, {})} />` : html`<p class="buttons"><button type="button" class="strong" disabled=${!hz.trim() || busy} onClick=${keep}>Keep the tap</button></p>
      <${Recorded} hear=${hear} busy=${busy} />`}
    ${board.taps.length > 0 && html`<p>Tapped so far: ${board.taps.map((/** @type {any} */ one) => `${one.hz.toFixed(1)} Hz (${one.motion})`).join(", ")}.</p>`}
    ${board.constants && html`<table><thead><tr><th scope="col">This board</th><th scope="col">GPa</th><th scope="col">±</th></tr></thead><tbody>${CONSTANTS.map(
      ([key, words]) => html`<tr><th scope="row">${words}</th><td>${board.constants[key][0].toPrecision(3)}</td><td>${Math.round(100 * board.constants[key][1])} %</td></tr>`,
    )}</tbody></table>`}
  </div>`;
}

/** Taps from a file, or from the microphone. @param {{hear: (recording: Blob) => any, busy: boolean}} props */
function Recorded({ hear, busy }) {
  const name = useName();
  const recorder = useRef(/** @type {MediaRecorder | null} */ (null));
  const [on, setOn] = useState(false);
  const [trouble, setTrouble] = useState("");
  const begin = async () => {
    setTrouble("");
    try {
      const sound = { echoCancellation: false, noiseSuppression: false, autoGainControl: false };
      const stream = await navigator.mediaDevices.getUserMedia({ audio: sound });
      const made = new MediaRecorder(stream);
      /** @type {Blob[]} */
      const pieces = [];
      made.ondataavailable = (event) => pieces.push(event.data);
      made.onstop = () => {
        for (const track of stream.getTracks()) track.stop();
        setOn(false);
        hear(new Blob(pieces));
      };
      made.start();
      recorder.current = made;
      setOn(true);
    } catch {
      setTrouble("No microphone can be heard: allow this page to use it, or choose a recording.");
    }
  };
  const chosen = (/** @type {any} */ event) => {
    const [file] = event.target.files;
    event.target.value = "";
    if (file) hear(file);
  };
  return html`<div class="field"><label for=${name}>Or a recording of several taps of this motion</label>
      <input id=${name} type="file" accept="audio/*,video/mp4,video/webm,.m4a,.wav" disabled=${busy} onChange=${chosen} /></div>
    <p class="buttons">${on
      ? html`<button type="button" class="strong" onClick=${() => recorder.current?.stop()}>That is all: hear them</button> <span>Tap some five times, and let each ring out.</span>`
      : html`<button type="button" disabled=${busy} onClick=${begin}>Record taps with the microphone</button>`}</p>
    ${trouble && html`<p class="trouble" role="alert">${trouble}</p>`}`;
}

/** A new board as typed. */
function NewBoard({ unit, done, cancel }) {
  const [typed, setTyped] = useState(EMPTY);
  const name = useName();
  const head = useHead();
  const field = (/** @type {keyof typeof EMPTY} */ key, /** @type {string} */ label) => html`<div class="field"><label for=${`${name}-${key}`}>${label}</label>
    <input id=${`${name}-${key}`} autocomplete="off" value=${typed[key]} onInput=${(/** @type {any} */ { target }) => setTyped((now) => ({ ...now, [key]: target.value }))} /></div>`;
  const whole = ["name", "wood", "length", "width", "thickness", "mass"].every((key) => typed[/** @type {"name"} */ (key)].trim());
  return html`<div role="group" aria-label="A board to be measured">
    <h3 tabindex="-1" ref=${head}>A board to be measured</h3>
    <div class="grid">${field("name", "What the board is called")}${field("wood", "Its wood")}${field("length", `Length along the grain, ${unit}`)}${field("width", `Width, ${unit}`)}${field("thickness", `Thickness, ${unit}`)}
      ${field("mass", "Mass, such as 742 g")}${field("moisture", "Moisture, %")}
      <${Choice} label="Rings in the end grain" value=${typed.cut} options=${[["flatsawn", "lie flat (flatsawn)"], ["quartersawn", "stand upright (quartersawn)"]]} save=${(/** @type {string} */ cut) => setTyped((now) => ({ ...now, cut }))} /></div>
    <p class="hint">Weigh it and measure it to a tenth of a millimetre in several places: an error of one part in a hundred in thickness is one in its pitch.</p>
    <p class="buttons"><button type="button" class="strong" disabled=${!whole} onClick=${() => done(typed)}>Put it down</button><button type="button" onClick=${cancel}>Leave it</button></p>
  </div>`;
}
