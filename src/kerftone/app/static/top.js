// @ts-check
// The top: the plan with its tips to drag, and beside it the chosen tongue and the sizes.

import { html, useState } from "./vendor/preact-htm.js";
import { EndForm } from "./end_form.js";
import { Choice, Doing, Length, Trouble, Typed } from "./fields.js";
import { cents, centsBetween, length } from "./lengths.js";
import { BY, BY_WORDS } from "./live.js";
import { useMoving } from "./moving.js";
import { Plan } from "./plan.js";
import { ask, say } from "./talk.js";

/** @param {{talk: import("./talk.js").Talk, unit: any, chosen: number, choose: (n: number) => void}} props */
export function Top({ talk, unit, chosen, choose }) {
  const { drum } = talk.state;
  const moving = useMoving(talk);
  const placed = drum.lines !== null;
  return html`<div class="top-view">
    <section class="drawing" aria-label="Plan">
      ${placed
        ? html`<${Plan} drum=${drum} lengths=${moving.lengths} sound=${moving.sound} chosen=${chosen} unit=${unit}
            choose=${choose} drag=${moving.drag} drop=${moving.drop} marks=${null} />`
        : html`<p class="empty">The tongues have no places yet. Have the lengths found, and the places with them.</p>`}
      <div class="said-and-find">
        <${Said} drum=${drum} sound=${moving.sound} task=${talk.task("look")} />
        <${Find} talk=${talk} />
      </div>
    </section>
    <div class="panels">
      <${Finding} talk=${talk} unit=${unit} />
      <${Problems} talk=${talk} unit=${unit} />
      <${Tongue} key=${chosen} talk=${talk} unit=${unit} n=${Math.min(chosen, drum.tongues.length - 1)} moving=${moving} choose=${choose} />
      <${EndForm} talk=${talk} unit=${unit} n=${Math.min(chosen, drum.tongues.length - 1)} />
      <${Sizes} talk=${talk} unit=${unit} />
    </div>
  </div>`;
}

/** Who says the pitches. */
function Said({ drum, sound, task }) {
  const open = task && ["waiting", "running"].includes(task.state);
  const aim = drum.tuning.aim_cents;
  const flat = aim === 0 ? "its note" : `where it is cut, ${Math.abs(aim)} cents ${aim < 0 ? "flat" : "sharp"} of its note`;
  return html`<p class="said">
    ${sound ? html`<span class=${`by ${sound.by.replace(" ", "-")}`}>${BY[sound.by]}</span> ${BY_WORDS[sound.by]}` : "No pitch is known yet."}
    ${open && html`<span class="quiet"> The whole drum is being solved.</span>`}
    <br /><span class="quiet">On each tongue: cents from ${flat}.</span>
  </p>`;
}

/** Have the lengths found. @param {import("./talk.js").Talk} talk */
const find = (talk) => talk.send("lengths").then((/** @type {any} */ begun) => begun && say("Finding the lengths."));

/** The way to have them found. */
function Find({ talk }) {
  const task = talk.task("lengths");
  const free = talk.state.drum.tongues.some((/** @type {any} */ t) => t.row !== null);
  return html`<p class="buttons">
    <button type="button" class="strong" disabled=${under(task)} onClick=${() => find(talk)}>Find the lengths</button>
    ${free && html`<button type="button" onClick=${() => talk.change({ do: "free" })}>Let the places be chosen too</button>`}
  </p>`;
}

/** @param {any} task */
const under = (task) => Boolean(task && ["waiting", "running"].includes(task.state));

/** How far finding the lengths is, and what came of it. */
function Finding({ talk, unit }) {
  const [closed, setClosed] = useState(0);
  const task = talk.task("lengths");
  if (!task || (!under(task) && task.number <= closed)) return null;
  const offer = task.error?.offer ?? task.answer?.offer;
  const take = async () => {
    setClosed(task.number);
    if (await talk.change(...offer)) find(talk);
  };
  if (under(task)) return html`<section class="panel" aria-label="Finding the lengths"><${Doing} task=${task} stop=${() => ask(`/api/task/${task.number}/stop`, {})} /></section>`;
  return html`<section class="panel" aria-label="Finding the lengths">
    <${Found} task=${task} unit=${unit} close=${() => setClosed(task.number)} />
    ${offer && html`<p><button type="button" class="strong" onClick=${take}>Take what works, and find the lengths</button></p>`}
  </section>`;
}

/** What was found. */
function Found({ task, unit, close }) {
  if (task.state === "stopped") return html`<p class="quiet">Stopped. Nothing was changed.</p>`;
  if (task.error) return html`<${Trouble} error=${task.error} close=${close} />`;
  const moved = task.answer?.moved ?? [];
  return html`<details class="found" open>
    <summary>Lengths found</summary>
    ${(task.answer?.words ?? []).map((/** @type {string} */ words) => html`<p>${words}</p>`)}
    <table>
      <thead><tr><th scope="col">Note</th><th scope="col">was</th><th scope="col">is</th></tr></thead>
      <tbody>${moved.map(
        (/** @type {any} */ one) =>
          html`<tr><th scope="row">${one.note}</th><td>${one.from_mm === null ? "–" : length(one.from_mm, unit)}</td><td>${length(one.to_mm, unit)}</td></tr>`,
      )}</tbody>
    </table>
    <button type="button" onClick=${close}>All right</button>
  </details>`;
}

/** What cannot be sawn, and the nearest that can, taken with one press. */
function Problems({ talk, unit }) {
  return talk.state.drum.problems.map((/** @type {any} */ one) => {
    const mend = one.nearest_mm === null ? null : Math.ceil(one.nearest_mm * 100 - 1e-6) / 100;
    const shorter = one.at?.[2] === "length" && one.nearest_mm < one.given;
    const mm = shorter || one.at?.[2] === "length" ? Math.floor(one.nearest_mm * 100 + 1e-6) / 100 : mend;
    return html`<section class="panel trouble" role="alert" aria-label="Cannot be sawn so">
      <h2>It cannot be sawn so</h2>
      <p>${one.message}</p>
      ${one.nearest_mm !== null &&
      html`<button type="button" class="strong" onClick=${() => talk.change({ do: "set", at: one.at, mm })}>Make it ${length(mm, unit)}</button>`}
    </section>`;
  });
}

/** The chosen tongue. */
function Tongue({ talk, unit, n, moving, choose }) {
  const { drum } = talk.state;
  const tongue = drum.tongues[n];
  const [other, setOther] = useState("");
  const hz = moving.sound?.hz?.[n];
  const clear = moving.sound?.clarity?.[n];
  const shared = moving.sound?.shared_with?.[n] ?? [];
  const wrong = drum.problems.some((/** @type {any} */ one) => one.at?.[0] === "tongues" && one.at[1] === n);
  const save = (/** @type {object} */ value) => talk.change({ do: "set", at: ["tongues", n, "length"], ...value });
  const add = (/** @type {string} */ note) => talk.change({ do: "add", note });
  return html`<section class="panel" aria-label="The chosen tongue">
    <h2>${tongue.note} <span class="quiet">${tongue.side ? `row ${tongue.row}, root on the ${tongue.side}` : "no place yet"}</span></h2>
    ${hz &&
    html`<dl class="facts">
      <dt>sounds</dt><dd>${hz.toFixed(1)} Hz</dd>
      <dt>from where it is cut</dt><dd>${cents(centsBetween(hz, tongue.aim_hz))} cents</dd>
      <dt>from its note</dt><dd>${cents(centsBetween(hz, tongue.target_hz))} cents</dd>
      <dt>clear</dt><dd>${(100 * clear).toFixed(0)} %${shared.length ? ` (moves with ${shared.join(", ")})` : ""}</dd>
    </dl>`}
    <${Length} label="Length" mm=${tongue.length_mm === null ? null : moving.lengths[n]} unit=${unit} save=${save} steps=${tongue.length_mm !== null} wrong=${wrong} />
    <${Typed} label="Note" value=${tongue.note} save=${(/** @type {string} */ note) => talk.change({ do: "note", tongue: n, note })} />
    <div class="field">
      <label for="other">Change places with</label>
      <div class="with-steps">
        <select id="other" value=${other} onChange=${(/** @type {any} */ event) => setOther(event.target.value)}>
          <option value="">choose</option>
          ${drum.tongues.map((/** @type {any} */ t, /** @type {number} */ at) => at !== n && html`<option value=${at}>${t.note}</option>`)}
        </select>
        <button type="button" disabled=${other === ""} onClick=${() => talk.change({ do: "swap", one: n, other: Number(other) })}>Change</button>
      </div>
    </div>
    <p class="buttons">
      <button type="button" disabled=${n === 0} onClick=${() => choose(n - 1)}>Previous tongue</button>
      <button type="button" disabled=${n === drum.tongues.length - 1} onClick=${() => choose(n + 1)}>Next tongue</button>
      <button type="button" disabled=${drum.tongues.length < 2} onClick=${() => talk.change({ do: "remove", tongue: n })}>Take ${tongue.note} away</button>
    </p>
    <${Typed} label="Add a tongue for the note" value="" save=${add} hint="Such as E4. It is put into the nearest free place." />
  </section>`;
}

/** The sizes of top and slots. */
function Sizes({ talk, unit }) {
  const { drum } = talk.state;
  const set = (/** @type {(string|number)[]} */ at) => (/** @type {object} */ value) => talk.change({ do: "set", at, ...value });
  const plain = (/** @type {(string|number)[]} */ at) => (/** @type {string} */ value) => talk.change({ do: "set", at, value });
  const number = (/** @type {(string|number)[]} */ at) => (/** @type {string} */ value) => talk.change({ do: "set", at, value: Number(value.replace(",", ".").replace("−", "-")) });
  const sizes = [
    ["Length of the top", ["top", "length"], drum.top.length_mm],
    ["Width of the top", ["top", "width"], drum.top.width_mm],
    ["Thickness", ["top", "thickness"], drum.top.thickness_mm],
    ["End to root", ["slots", "end_margin"], drum.slots.end_margin_mm],
    ["Edge to slot", ["slots", "side_margin"], drum.slots.side_margin_mm],
    ["Saw cut", ["slots", "kerf"], drum.slots.kerf_mm],
    ["Slot-end hole", ["slots", "stop_hole"], drum.slots.stop_hole_mm],
    ["Its countersink", ["slots", "countersink"], drum.slots.countersink_mm],
    ["Slots' edges rounded to", ["slots", "round_over"], drum.slots.round_over_mm],
    ["Walls, thickness", ["box", "wall"], drum.box.wall_mm],
    ["Walls, height", ["box", "height"], drum.box.height_mm],
  ];
  return html`<section class="panel" aria-label="Sizes">
    <h2>Sizes</h2>
    <div class="grid">
      ${sizes.map(([label, at, mm]) => html`<${Length} key=${label} label=${label} mm=${mm} unit=${unit} save=${set(at)}
        wrong=${drum.problems.some((/** @type {any} */ one) => String(one.at) === String(at))} />`)}
      ${!drum.top.board && html`<${Choice} label="Board is" value=${drum.top.cut} options=${[["flatsawn", "flatsawn"], ["quartersawn", "quartersawn"]]} save=${plain(["top", "cut"])} />`}
      <${Typed} label="Cut, cents from the note" value=${drum.tuning.aim_cents} numeric save=${number(["tuning", "aim_cents"])} />
    </div>
  </section>`;
}
