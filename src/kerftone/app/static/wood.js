// @ts-check
// Wood: every species as a row to sort, and this drum heard in it, with the lengths as they are or found anew.

import { html, useEffect, useRef, useState } from "./vendor/preact-htm.js";
import { Doing } from "./fields.js";
import { cents, length } from "./lengths.js";
import { Measured } from "./measured.js";
import { ask, say } from "./talk.js";
import { WoodRows, sorted } from "./wood_rows.js";

/** The species, and this drum estimated in each as soon as it has been solved as it is.
 * @param {import("./talk.js").Talk} talk */
function useWoods(talk) {
  const [species, setSpecies] = useState(/** @type {any[]} */ ([]));
  const [guessed, setGuessed] = useState(/** @type {Map<string, any>} */ (new Map()));
  const { sound, revision } = talk.state;
  const solved = sound?.by === "full solve" && sound.revision === revision;
  useEffect(() => {
    ask("/api/choices").then((found) => setSpecies(found.woods), (error) => talk.refuse(error));
  }, []);
  useEffect(() => {
    let wanted = solved;
    if (solved) {
      // What is refused here is said by the view of the top; the species' own numbers stand meanwhile.
      ask(`${talk.address}/woods`, {}).then((found) => wanted && setGuessed(new Map(found.woods.map((/** @type {any} */ one) => [one.name, one]))), () => {});
    }
    return () => {
      wanted = false;
    };
  }, [solved, revision]);
  return { species, guessed };
}

/** @param {{talk: import("./talk.js").Talk, unit: any}} props */
export function Wood({ talk, unit }) {
  const { species, guessed } = useWoods(talk);
  const [by, setBy] = useState("name");
  const [up, setUp] = useState(true);
  const [sought, setSought] = useState("");
  const [heard, setHeard] = useState(/** @type {any[]} */ ([]));
  const [making, setMaking] = useState("");
  const all = useRef(false);
  const stopped = useRef(false);
  const { drum, revision, sound } = talk.state;
  const word = sought.trim().toLowerCase();
  const found = species.filter((one) => [one.name, ...one.also].some((name) => name.toLowerCase().includes(word)));
  const rows = sorted(
    found.map((one) => ({
      species: one,
      guess: guessed.get(one.name),
      told: heard.find((told) => !told.board && told.wood === one.name && told.revision === revision),
      now: sound?.hz ?? null,
    })),
    by,
    up,
  );
  const workOut = async (/** @type {string} */ wood, /** @type {boolean} */ refit, /** @type {any} */ board, /** @type {boolean} */ shown) => {
    setMaking(board?.name ?? wood);
    stopped.current = false;
    try {
      const told = board ? await ask(`${talk.address}/other`, { board: board.name, refit }) : await ask(`${talk.address}/wood`, { wood, refit });
      const named = { ...told, refit, board, shown, called: board ? `${board.name}, ${told.wood}` : told.wood };
      setHeard((now) => [named, ...now.filter((one) => one.called !== named.called || one.refit !== refit)]);
      return named;
    } catch (error) {
      all.current = false;
      if (!stopped.current) {
        talk.refuse(error);
        scrollTo(0, 0);
      }
      return null;
    } finally {
      setMaking("");
    }
  };
  const work = async (/** @type {string} */ wood, /** @type {boolean} */ refit, board = /** @type {any} */ (null)) => {
    const named = await workOut(wood, refit, board, true);
    if (!named) return;
    say(`The drum in ${named.called} can be heard.`);
    scrollTo(0, 0);
  };
  const workAll = async () => {
    all.current = true;
    for (const { species: one, told } of rows) if (all.current && !told) await workOut(one.name, false, null, false);
    if (all.current) say("All woods are worked out.");
    all.current = false;
  };
  const task = ["wood", "other"].map((kind) => talk.task(kind)).find((one) => one && ["waiting", "running"].includes(one.state));
  const stop = () => {
    all.current = false;
    stopped.current = true;
    ask(`/api/task/${task.number}/stop`, {});
  };
  const sort = (/** @type {string} */ key) => (key === by ? setUp(!up) : (setBy(key), setUp(true)));
  const lengths = drum.tongues.every((/** @type {any} */ t) => t.length_mm !== null);
  const panels = heard.filter((one) => one.shown);
  return html`<div class="wood-view">
    ${making && task && html`<section class="panel"><${Doing} task=${task} stop=${stop} /></section>`}
    <div class="panels" hidden=${panels.length === 0}>${panels.map((one) => html`<${Heard} key=${`${one.called} ${one.refit}`} one=${one} unit=${unit} old=${one.revision !== revision}
      take=${() => talk.change(...(one.board ? [{ do: "board", file: one.board.file, cut: one.board.cut }] : asWood(talk.state.drum, one.wood)), ...(one.refit ? taken(one) : []))} />`)}</div>
    <${Measured} talk=${talk} unit=${unit} busy=${making !== ""} hear=${(/** @type {any} */ board, /** @type {boolean} */ refit) => work("", refit, board)} />
    <section class="panel" aria-label="All woods">
      <h2>Woods <span class="quiet">the top of ${drum.name} is ${drum.top.wood}</span></h2>
      <div class="field"><label for="sought">Look for a name</label><input id="sought" value=${sought} autocomplete="off" onInput=${(/** @type {any} */ event) => setSought(event.target.value)} /></div>
      <p class="buttons"><button type="button" disabled=${making !== "" || !lengths} onClick=${workAll}>${all.current ? `Working out ${making}` : "Work out these woods"}</button></p>
      <${WoodRows} rows=${rows} own=${drum.top.wood} by=${by} up=${up} sort=${sort} busy=${making !== ""} lengths=${lengths} work=${work} />
      <p class="hint">The lengths as they are, for the mean of each species; one board may differ by the ±. ≈: estimated from how each note answers to the wood; without it: the drum solved in that wood. Dry and damp weeks: how far the notes go in your home from the shop’s air. Fit anew: lengths for that wood. Nothing is changed until you take it.</p>
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
