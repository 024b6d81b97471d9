// @ts-check
// Wood: every species as a row to sort, and this drum heard in it, with the lengths as they are or found anew.

import { html, useEffect, useMemo, useRef, useState } from "./vendor/preact-htm.js";
import { Doing } from "./fields.js";
import { cents, length } from "./lengths.js";
import { Measured } from "./measured.js";
import { ask, say } from "./talk.js";

/** What a row can be sorted by: its words, and the number or the name to sort by.
 * @type {Array<[string, string, (one: any) => any]>} */
const COLUMNS = [
  ["name", "Wood", (/** @type {any} */ one) => one.name.toLowerCase()],
  ["heavy", "Weight, g/cm³", (/** @type {any} */ one) => one.density_kg_m3],
  ["stiff", "Stiffness, GPa", (/** @type {any} */ one) => one.e_l_gpa],
  ["sure", "Notes known to, ± cents", (/** @type {any} */ one) => one.plus_minus_cents],
  ["moves", "Swells across, per 1 % moisture", (/** @type {any} */ one) => one.moves ?? Infinity],
];

/** @param {{talk: import("./talk.js").Talk, unit: any}} props */
export function Wood({ talk, unit }) {
  const [woods, setWoods] = useState(/** @type {any[]} */ ([]));
  const [by, setBy] = useState("name");
  const [up, setUp] = useState(true);
  const [sought, setSought] = useState("");
  const [heard, setHeard] = useState(/** @type {any[]} */ ([]));
  const [making, setMaking] = useState("");
  const { drum, revision } = talk.state;
  useEffect(() => {
    ask("/api/choices").then((found) => setWoods(found.woods), (error) => {
      talk.refuse(error);
    });
  }, []);
  const rows = useMemo(() => {
    const key = (COLUMNS.find((one) => one[0] === by) ?? COLUMNS[0])[2];
    const word = sought.trim().toLowerCase();
    const found = woods.filter((one) => [one.name, ...one.also].some((name) => name.toLowerCase().includes(word)));
    const order = (/** @type {any} */ one, /** @type {any} */ other) => (key(one) < key(other) ? -1 : key(one) > key(other) ? 1 : 0);
    return found.sort((one, other) => (up ? 1 : -1) * order(one, other));
  }, [woods, by, up, sought]);
  const work = async (/** @type {string} */ wood, /** @type {boolean} */ refit, board = /** @type {any} */ (null)) => {
    setMaking(board?.name ?? wood);
    try {
      const found = board ? await ask(`${talk.address}/other`, { board: board.name, refit }) : await ask(`${talk.address}/wood`, { wood, refit });
      const named = { ...found, refit, board, called: board ? `${board.name}, ${found.wood}` : found.wood };
      setHeard((now) => [named, ...now.filter((one) => one.called !== named.called || one.refit !== refit)]);
      say(`The drum in ${named.called} can be heard.`);
      scrollTo(0, 0);
    } catch (error) {
      talk.refuse(error);
      scrollTo(0, 0);
    } finally {
      setMaking("");
    }
  };
  const task = ["wood", "other"].map((kind) => talk.task(kind)).find((one) => one && ["waiting", "running"].includes(one.state));
  const open = making && task;
  const sort = (/** @type {string} */ key) => (key === by ? setUp(!up) : (setBy(key), setUp(true)));
  const lengths = drum.tongues.every((/** @type {any} */ t) => t.length_mm !== null);
  return html`<div class="wood-view">
    ${open && html`<section class="panel"><${Doing} task=${task} stop=${() => ask(`/api/task/${task.number}/stop`, {})} /></section>`}
    <div class="panels" hidden=${heard.length === 0}>${heard.map((one) => html`<${Heard} key=${`${one.called} ${one.refit}`} one=${one} unit=${unit} old=${one.revision !== revision}
      take=${() => talk.change(...(one.board ? [{ do: "board", file: one.board.file, cut: one.board.cut }] : asWood(talk.state.drum, one.wood)), ...(one.refit ? taken(one) : []))} />`)}</div>
    <${Measured} talk=${talk} unit=${unit} busy=${making !== ""} hear=${(/** @type {any} */ board, /** @type {boolean} */ refit) => work("", refit, board)} />
    <section class="panel" aria-label="All woods">
      <h2>Woods <span class="quiet">the top of ${drum.name} is ${drum.top.wood}</span></h2>
      <div class="field"><label for="sought">Look for a name</label><input id="sought" value=${sought} autocomplete="off" onInput=${(/** @type {any} */ event) => setSought(event.target.value)} /></div>
      <div class="scrolls" tabindex="0" role="group" aria-label="Woods, to be scrolled sideways"><table>
        <thead><tr>${COLUMNS.map(
          ([key, words], at) => html`${at === 1 && html`<th scope="col">This drum in it</th>`}<th scope="col" aria-sort=${key === by ? (up ? "ascending" : "descending") : null}><button type="button" class="sorts" onClick=${() => sort(key)}>${words} ${key === by ? (up ? "▲" : "▼") : ""}</button></th>`,
        )}</tr></thead>
        <tbody>${rows.map(
          (one) => html`<tr key=${one.name} class=${one.name === drum.top.wood ? "own" : ""}>
            <th scope="row">${one.name}</th>
            <td class="both"><button type="button" disabled=${making !== "" || !lengths} aria-label=${`Hear it in ${one.name}`} onClick=${() => work(one.name, false)}>Hear</button>
              <button type="button" disabled=${making !== ""} aria-label=${`Fit anew in ${one.name}`} onClick=${() => work(one.name, true)}>Fit anew</button></td>
            <td>${(one.density_kg_m3 / 1000).toFixed(2)}</td><td>${one.e_l_gpa.toFixed(1)}</td>
            <td>${Math.round(one.plus_minus_cents)}</td><td>${one.moves === null ? "not published" : `${(100 * one.moves).toFixed(2)} %`}</td></tr>`,
        )}</tbody>
      </table></div>
      <p class="hint">Means of the species, as published; one board may differ by the ±. Hear: the lengths as they are. Fit anew: lengths for that wood. Nothing is changed until you take it.</p>
    </section>
  </div>`;
}

/** The changes that make the top of the mean wood of a species. @param {any} drum @param {string} wood */
function asWood(drum, wood) {
  const gone = drum.top.board ? [{ do: "set", at: ["top", "board"], value: null }] : [];
  return [...gone, { do: "set", at: ["top", "wood"], value: wood }];
}

/** The changes that give the drum the lengths found for a wood. @param {any} one */
function taken(one) {
  return one.tongues.map((/** @type {any} */ t, /** @type {number} */ n) => ({ do: "set", at: ["tongues", n, "length"], mm: t.length_mm }));
}

/** The drum in one wood. */
function Heard({ one, unit, old, take }) {
  const audio = useRef(/** @type {HTMLAudioElement | null} */ (null));
  const rings = one.tongues.map((/** @type {any} */ t) => t.t60_s);
  const loud = 20 * Math.log10(one.pascal_at_1_m / 2e-5);
  return html`<section class="panel" aria-label=${`In ${one.called}${one.refit ? ", fitted anew" : ""}`}>
    <h2>${one.called} <span class="quiet">${one.refit ? "fitted anew" : "lengths as they are"}${old ? ", out of date" : ""}</span></h2>
    <audio ref=${audio} src=${one.sound} preload="auto"></audio>
    <p class="buttons"><button type="button" class="strong" onClick=${() => audio.current?.play()}>Play</button><button type="button" onClick=${take}>Take this ${one.board ? "board" : "wood"}</button></p>
    <dl class="facts">
      <dt>weighs</dt><dd>${one.weight_g === null ? "–" : `${(one.weight_g / 1000).toFixed(1)} kg`}</dd>
      <dt>rings</dt><dd>${Math.min(...rings).toFixed(1)} to ${Math.max(...rings).toFixed(1)} s to fall by 60 dB</dd>
      <dt>loudest</dt><dd>${loud.toFixed(0)} dB a metre away, without a room</dd>
    </dl>
    <table><thead><tr><th scope="col">Note</th><th scope="col">Length</th><th scope="col">Cents from where it is cut</th></tr></thead>
      <tbody>${one.tongues.map((/** @type {any} */ t) => html`<tr><th scope="row">${t.note}</th><td>${length(t.length_mm, unit)}</td><td>${cents(t.cents_from_aim)} ± ${Math.round(t.plus_minus_cents)}</td></tr>`)}</tbody></table>
  </section>`;
}
