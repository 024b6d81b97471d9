// @ts-check
// Beginning a drum: its notes, the wood, the board in hand, and the work.

import { html, render, useEffect, useMemo, useState } from "./vendor/preact-htm.js";
import { MOUNTS } from "./box_forms.js";
import { Choice, Doing, Trouble, useName } from "./fields.js";
import { Keys } from "./keys.js";
import { plainTone } from "./play.js";
import { ask, refusal, say } from "./talk.js";

const ROOTS = ["C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"];
const OCTAVES = [["2", "2, deep"], ["3", "3, below middle C"], ["4", "4, from middle C"], ["5", "5, high"]];
const WAYS = [["scale", "A scale"], ["keys", "Tap notes"], ["typed", "Type notes"]];
const USUAL = { root: "D", octave: "3", scale: "minor pentatonic", count: 6 };
const MOST = 12;
/** @type {AudioContext | null} */
let context = null;

/** Let notes be heard one after the other, as plain tones. @param {number[]} pitches */
function listen(pitches) {
  context ??= new AudioContext();
  const from = context.currentTime + 0.05;
  context.resume();
  pitches.forEach((hz, at) => plainTone(/** @type {AudioContext} */ (context), hz, from + 0.35 * at));
}

function Begin() {
  const [choices, setChoices] = useState(/** @type {any} */ (null));
  const [way, setWay] = useState("scale");
  const [scale, setScale] = useState(USUAL);
  const [tapped, setTapped] = useState(/** @type {string[]} */ ([]));
  const [typed, setTyped] = useState("");
  const [notes, setNotes] = useState(/** @type {any[]} */ ([]));
  const [trouble, setTrouble] = useState(/** @type {any} */ (null));
  const [rest, setRest] = useState({ wood: "", cut: "flatsawn", mount: "on walls", units: navigator.language === "en-US" ? "in" : "mm", long: "", wide: "", thick: "", knots: "", name: "" });
  const [task, setTask] = useState(/** @type {any} */ (null));
  useEffect(() => {
    ask("/api/choices").then(setChoices).catch((error) => setTrouble(refusal(error).error));
  }, []);
  const asked = useMemo(() => {
    if (way === "scale") return { scale: `${scale.root} ${scale.scale}`, count: scale.count, first: `${scale.octave}` };
    return { notes: way === "keys" ? tapped.join(" ") : typed };
  }, [way, scale, tapped, typed]);
  useEffect(() => {
    if (asked.notes === "") {
      setNotes([]);
      return undefined;
    }
    let wanted = true;
    const pause = setTimeout(async () => {
      try {
        const found = await ask("/api/notes", asked);
        if (!wanted) return;
        setNotes(found.notes);
        setTrouble(null);
      } catch (error) {
        if (!wanted) return;
        setNotes([]);
        setTrouble(refusal(error).error);
      }
    }, 250);
    return () => {
      wanted = false;
      clearTimeout(pause);
    };
  }, [asked]);
  const set = (/** @type {object} */ more) => setRest({ ...rest, ...more });
  const work = async (without = {}, instead = {}) => {
    const now = { ...rest, ...without };
    const board = now.long.trim() && now.wide.trim() ? `${now.long} x ${now.wide} x ${now.thick}` : "";
    const wishes = { notes: notes.map((one) => one.note).join(" "), wood: now.wood, cut: now.cut, mount: now.mount, units: now.units, name: now.name, board, thickness: board ? "" : now.thick, knots: now.knots, ...instead };
    if (way === "scale" && !now.name) wishes.name = `${scale.root} ${scale.scale}`;
    setTrouble(null);
    try {
      follow((await ask("/api/begin", wishes)).task, setTask, setTrouble);
    } catch (error) {
      setTrouble(refusal(error).error);
    }
  };
  if (!choices) return trouble ? html`<${Trouble} error=${trouble} />` : html`<p class="quiet">One moment.</p>`;
  const open = task && ["waiting", "running"].includes(task.state);
  if (open) return html`<section class="panel"><h2>It is being worked out</h2><${Doing} task=${task} stop=${() => ask(`/api/task/${task.number}/stop`, {})} /></section>`;
  if (task?.state === "done") return html`<${Begun} answer=${task.answer} />`;
  return html`
    <section class="panel" aria-label="Notes">
      <h2>Notes</h2>
      <${Ways} way=${way} setWay=${setWay} />
      ${way === "scale" && html`<${Scale} scale=${scale} setScale=${setScale} scales=${choices.scales} />`}
      ${way === "keys" && html`<${Keys} chosen=${tapped} choose=${setTapped} heard=${(/** @type {number} */ hz) => listen([hz])} />`}
      ${way === "typed" && html`<${Text} label="The notes, from low to high" value=${typed} save=${setTyped} hint="Such as D3 F3 G3 A3 C4 D4. Middle C is C4." />`}
      <p class="chosen-notes" aria-live="polite">${notes.length ? notes.map((one) => one.note).join("  ") : "No notes yet."}</p>
      <p class="buttons"><button type="button" disabled=${!notes.length} onClick=${() => listen(notes.map((one) => one.hz))}>Listen</button>
        <span class="quiet">Plain tones, to hear the notes. How the wood sounds comes later.</span></p>
    </section>
    <section class="panel" aria-label="Wood and board">
      <h2>Wood and board</h2>
      <${Text} label="Wood of the top" value=${rest.wood} save=${(/** @type {string} */ wood) => set({ wood })} list=${choices.woods} hint="By any name it is sold under, such as cherry, walnut, padauk." />
      <div class="grid">
        <${Choice} label="Lengths in" value=${rest.units} options=${[["mm", "millimetres"], ["in", "inches"]]} save=${(/** @type {string} */ units) => set({ units })} />
        <${Choice} label="Rings in the end grain" value=${rest.cut} options=${[["flatsawn", "lie flat (flatsawn)"], ["quartersawn", "stand upright (quartersawn)"]]} save=${(/** @type {string} */ cut) => set({ cut })} />
        <${Choice} label="How the top sits in the box" value=${rest.mount} options=${MOUNTS} save=${(/** @type {string} */ mount) => set({ mount })} />
      </div>
      <h3>The board in hand <span class="quiet">leave empty to have its size worked out</span></h3>
      <div class="grid">
        <${Text} label=${`Length, ${rest.units}`} value=${rest.long} save=${(/** @type {string} */ long) => set({ long })} />
        <${Text} label=${`Width, ${rest.units}`} value=${rest.wide} save=${(/** @type {string} */ wide) => set({ wide })} />
        <${Text} label=${`Thickness, ${rest.units}`} value=${rest.thick} save=${(/** @type {string} */ thick) => set({ thick })} />
      </div>
      <${Text} label=${`Knots in it, ${rest.units}`} value=${rest.knots} save=${(/** @type {string} */ knots) => set({ knots })} hint="Kept out of the tongues. Each: how far its middle is from the left end and from the front edge, and its diameter, such as 120 x 45 x 8; a semicolon between two." />
      <${Text} label="What the drum is called" value=${rest.name} save=${(/** @type {string} */ name) => set({ name })} hint="If you leave it empty, it is called by its notes." />
    </section>
    ${task?.state === "stopped" && html`<p class="quiet">Stopped. Nothing was made.</p>`}
    ${(trouble || task?.error) && html`<${Trouble} error=${trouble ?? task.error} remedy=${(/** @type {string} */ what) => what === "begin" && scrollTo(0, 0)} />`}
    ${task?.error?.offer && html`<${Instead} offers=${task.error.offer} take=${(/** @type {object} */ instead) => work({}, instead)} />`}
    ${task?.error && rest.long && html`<p><button type="button" onClick=${() => work({ long: "", wide: "" })}>Try without that board: have one worked out</button></p>`}
    <p><button type="button" class="strong big" disabled=${!notes.length || !rest.wood.trim()} onClick=${() => work()}>Work it out</button></p>
    ${!rest.wood.trim() && html`<p class="quiet">Name the wood first: how long a tongue must be depends on it.</p>`}`;
}

/** Ask after a task until it has ended. @param {any} task @param {(task: any) => void} setTask
 * @param {(error: any) => void} setTrouble */
async function follow(task, setTask, setTrouble) {
  setTask(task);
  for (let now = task; ["waiting", "running"].includes(now.state); ) {
    await new Promise((next) => setTimeout(next, 250));
    try {
      now = (await ask(`/api/task/${task.number}`)).task;
      setTask(now);
    } catch (error) {
      const refused = refusal(error);
      if (!refused.error.away) {
        setTask(null);
        setTrouble(refused.error);
        return;
      }
    }
    if (now.state === "done") say("The drum is worked out.");
  }
}

/** What was made; straight on to it where all is well. */
function Begun({ answer }) {
  const address = `/drum/${encodeURIComponent(answer.drum)}`;
  useEffect(() => {
    if (!answer.without_lengths) location.href = address;
  }, []);
  return html`<section class="panel">
    <h2>The drum is begun</h2>
    ${answer.without_lengths && html`<p class="trouble">${answer.without_lengths}</p>`}
    ${answer.remarks.map((/** @type {string} */ words) => html`<p>${words}</p>`)}
    <p><a class="button strong" href=${address}>Open it</a></p>
  </section>`;
}

/** What would work in place of what was asked for: each heard, and taken with one press. */
function Instead({ offers, take }) {
  return html`<section class="panel" aria-label="What works instead">
    <h2>What works instead <span class="quiet">tried on the model</span></h2>
    <ul class="checks">${offers.map(
      (/** @type {any} */ one) => html`<li key=${one.words}><p><strong>With ${one.words}.</strong> <span class="quiet">${one.notes.join("  ")}</span></p>
        <p class="buttons"><button type="button" aria-label=${`Listen to it with ${one.words}`} onClick=${() => listen(one.hz)}>Listen</button>
          <button type="button" class="strong" aria-label=${`Take it with ${one.words}`} onClick=${() => take({ notes: one.notes.join(" "), board: one.board, thickness: one.thickness, tongue_width: one.tongue_width, knots: one.knots })}>Take it</button></p></li>`,
    )}</ul>
  </section>`;
}

function Ways({ way, setWay }) {
  return html`<div class="switch wide" role="group" aria-label="How the notes are given">
    ${WAYS.map(([key, words]) => html`<button type="button" aria-pressed=${way === key ? "true" : "false"} onClick=${() => setWay(key)}>${words}</button>`)}
  </div>`;
}

function Scale({ scale, setScale, scales }) {
  const set = (/** @type {object} */ more) => setScale({ ...scale, ...more });
  const more = (/** @type {number} */ by) => set({ count: Math.min(MOST, Math.max(1, scale.count + by)) });
  return html`<div class="grid">
      <${Choice} label="Lowest note" value=${scale.root} options=${ROOTS} save=${(/** @type {string} */ root) => set({ root })} />
      <${Choice} label="Octave" value=${scale.octave} options=${OCTAVES} save=${(/** @type {string} */ octave) => set({ octave })} />
      <${Choice} label="Scale" value=${scale.scale} options=${scales.map((/** @type {any} */ one) => one.name)} save=${(/** @type {string} */ name) => set({ scale: name })} />
      <div class="field" role="group" aria-label="How many tongues"><span class="label">Tongues</span>
        <div class="with-steps"><button type="button" class="step" aria-label="One tongue fewer" onClick=${() => more(-1)}>−</button>
          <output class="count">${scale.count}</output>
          <button type="button" class="step" aria-label="One tongue more" onClick=${() => more(1)}>+</button></div></div>
    </div>`;
}

/** @param {{label: string, value: string, save: (value: string) => any, hint?: string, list?: any[]}} props */
function Text({ label, value, save, hint, list }) {
  const name = useName();
  return html`<div class="field">
    <label for=${name}>${label}</label>
    <input id=${name} autocomplete="off" value=${value} list=${list ? `${name}-list` : null} onInput=${(/** @type {any} */ event) => save(event.target.value)} />
    ${list && html`<datalist id=${`${name}-list`}>${list.map((one) => html`<option value=${one.name}>${one.also.join(", ")}</option>`)}</datalist>`}
    ${hint && html`<p class="hint">${hint}</p>`}
  </div>`;
}

render(html`<${Begin} />`, /** @type {Element} */ (document.getElementById("begin")));
