// @ts-check
// Side by side: this drum and its named variants, each a copy of the file beside it. Lengths, pitches, clarity,
// weight and sound in columns; one of them taken in the drum's place with one press.

import { html, useState } from "./vendor/preact-htm.js";
import { Doing, useName } from "./fields.js";
import { cents, length } from "./lengths.js";
import { knownSide, playSides, useVariants, workOut } from "./sides.js";
import { ask, say } from "./talk.js";

const MALLET = "hard-rubber";

/** @param {{talk: import("./talk.js").Talk, unit: any}} props */
export function Compare({ talk, unit }) {
  const [variants, setVariants] = useVariants(talk);
  const [gone, setGone] = useState(/** @type {any} */ (null));
  const [busy, setBusy] = useState("");
  const task = talk.task("other");
  const open = busy && task && ["waiting", "running"].includes(task.state);
  const sides = [{ kind: "own", name: "" }, ...variants.filter((one) => !one.trouble).map((one) => ({ kind: "variant", name: one.name }))];
  const found = sides.map((/** @type {any} */ side) => knownSide(talk, side, unit, MALLET));
  const tell = async (/** @type {object} */ sent) => {
    try {
      const answer = await ask(`${talk.address}/variant`, sent);
      talk.forgive();
      setVariants(answer.variants);
      await talk.refresh();
      return answer;
    } catch (error) {
      talk.refuse(error);
      scrollTo(0, 0);
      return null;
    }
  };
  const work = async (/** @type {any[]} */ wanted) => {
    const ready = [];
    try {
      for (const side of wanted) {
        setBusy(side.name || "This drum");
        ready.push(await workOut(talk, side, unit, MALLET));
      }
    } catch (error) {
      talk.refuse(error);
      scrollTo(0, 0);
    } finally {
      setBusy("");
    }
    return ready;
  };
  const play = async (/** @type {any} */ side) => {
    const [one] = await work([side]);
    if (one) await playSides([one], [one, ...found.filter(Boolean)]);
  };
  const drop = async (/** @type {string} */ name) => {
    const answer = await tell({ do: "drop", name });
    if (answer) setGone(answer);
  };
  const back = async () => {
    if (await tell({ do: "keep", name: gone.dropped, text: gone.text })) setGone(null);
  };
  const take = async (/** @type {string} */ name) => (await tell({ do: "take", name })) && say(`${name} has taken the drum’s place. Undo takes it back.`);
  return html`<div class="compare-view">
    <${Keep} keep=${(/** @type {string} */ name) => tell({ do: "keep", name })} />
    ${gone && html`<p class="buttons">${gone.dropped} was dropped. <button type="button" onClick=${back}>Bring it back</button></p>`}
    ${variants.filter((one) => one.trouble).map((one) => html`<p class="trouble">${one.name}: ${one.trouble}</p>`)}
    ${open && html`<section class="panel"><h2>${busy}</h2><${Doing} task=${task} stop=${() => ask(`/api/task/${task.number}/stop`, {})} /></section>`}
    <section class="panel" aria-label="Side by side">
      <h2>Side by side</h2>
      ${variants.length === 0
        ? html`<p class="quiet">No variant is kept yet. Keep the drum as it is now under a name, change it, and the two stand here beside each other.</p>`
        : html`<p class="buttons"><button type="button" class="strong" disabled=${busy !== ""} onClick=${() => work(sides)}>Work them all out</button></p>
          <${Table} talk=${talk} unit=${unit} sides=${sides} found=${found} variants=${variants} busy=${busy} play=${play} take=${take} drop=${drop} />`}
    </section>
  </div>`;
}

function Keep({ keep }) {
  const [name, setName] = useState("");
  const id = useName();
  const press = async () => {
    if (name.trim() && (await keep(name))) setName("");
  };
  return html`<section class="panel" aria-label="Keep a variant">
    <h2>Keep a variant</h2>
    <div class="field"><label for=${id}>Keep the drum as it is now, called</label>
      <div class="with-steps"><input id=${id} autocomplete="off" value=${name} onInput=${(/** @type {any} */ event) => setName(event.target.value)}
        onKeyDown=${(/** @type {KeyboardEvent} */ event) => event.key === "Enter" && press()} />
        <button type="button" disabled=${!name.trim()} onClick=${press}>Keep it</button></div>
      <p class="hint">Such as thinner, or without the bottom. It is a copy of the drum’s file beside it.</p></div>
  </section>`;
}

function Table({ talk, unit, sides, found, variants, busy, play, take, drop }) {
  const { drum } = talk.state;
  const most = Math.max(...found.map((/** @type {any} */ one) => one?.tongues.length ?? 0), drum.tongues.length);
  const facts = [
    ["wood", (/** @type {any} */ one) => one.wood],
    ["thickness", (/** @type {any} */ one) => length(one.thickness_mm, unit)],
    ["weighs", (/** @type {any} */ one) => (one.weight_g === null ? "–" : `${(one.weight_g / 1000).toFixed(1)} kg`)],
    ["loudest, a metre away", (/** @type {any} */ one) => `${(20 * Math.log10(one.pascal_at_1_m / 2e-5)).toFixed(0)} dB`],
  ];
  const note = (/** @type {any} */ t) => html`<strong>${t.note}</strong> ${length(t.length_mm, unit)}<br />${cents(t.cents_from_aim)} cents<br />${(100 * t.clarity).toFixed(0)} % clear<br />rings ${t.t60_s.toFixed(1)} s`;
  return html`<div class="scrolls" tabindex="0" role="group" aria-label="Variants, to be scrolled sideways"><table class="side-by-side">
    <thead><tr><td></td>${sides.map((/** @type {any} */ side) => html`<th scope="col">${side.name || "As it is now"}</th>`)}</tr></thead>
    <tbody>
      <tr><th scope="row">against now</th>${sides.map((/** @type {any} */ side) => html`<td>${side.name ? (variants.find((/** @type {any} */ one) => one.name === side.name)?.differs ?? []).map((/** @type {string} */ words) => html`<div>${words}</div>`) : ""}</td>`)}</tr>
      <tr><th scope="row">hear it</th>${sides.map((/** @type {any} */ side) => html`<td><div class="buttons">
        <button type="button" disabled=${busy !== ""} aria-label=${`Play ${side.name || "the drum as it is now"}`} onClick=${() => play(side)}>Play</button>
        ${side.name && html`<button type="button" aria-label=${`Take ${side.name} in the drum’s place`} onClick=${() => take(side.name)}>Take</button>
        <button type="button" aria-label=${`Drop ${side.name}`} onClick=${() => drop(side.name)}>Drop</button>`}</div></td>`)}</tr>
      ${facts.map(([words, told]) => html`<tr><th scope="row">${words}</th>${found.map((/** @type {any} */ one) => html`<td>${one ? /** @type {Function} */ (told)(one) : "–"}</td>`)}</tr>`)}
      ${Array.from({ length: most }, (_, n) => html`<tr><th scope="row">tongue ${n + 1}</th>${found.map((/** @type {any} */ one) => html`<td>${one?.tongues[n] ? note(one.tongues[n]) : "–"}</td>`)}</tr>`)}
    </tbody></table></div>
    <p class="hint">Cents from where each tongue is cut. A dash: not worked out yet.</p>`;
}
