// @ts-check
// One drum: its head, its views, and what is common to all of them.

import { html, render, useEffect, useState } from "./vendor/preact-htm.js";
import { Trouble } from "./fields.js";
import { chosenUnit, keepUnit } from "./lengths.js";
import { Talk, say } from "./talk.js";
import { Top } from "./top.js";
import { VIEWS } from "./views.js";

const place = /** @type {HTMLElement} */ (document.getElementById("drum"));
const talk = new Talk(place.dataset.address ?? "");

/** Which view the address names. */
function viewNamed() {
  const name = location.hash.slice(1);
  return VIEWS.some((one) => one.name === name) ? name : VIEWS[0].name;
}

function Drum() {
  const [, again] = useState(0);
  const [view, setView] = useState(viewNamed);
  const [unit, setUnit] = useState(/** @type {any} */ (null));
  const [chosen, setChosen] = useState(0);
  useEffect(() => {
    const listener = () => again((count) => count + 1);
    const turned = () => setView(viewNamed());
    talk.listeners.add(listener);
    addEventListener("hashchange", turned);
    addEventListener("keydown", shortcut);
    listener();
    return () => {
      talk.listeners.delete(listener);
      removeEventListener("hashchange", turned);
      removeEventListener("keydown", shortcut);
    };
  }, []);
  const { drum, broken } = talk.state;
  useEffect(() => {
    if (drum && !unit) setUnit(chosenUnit(drum.units));
    if (drum) document.title = `${drum.name} · Kerftone`;
  }, [drum]);
  const turn = (/** @type {any} */ to) => {
    keepUnit(to);
    setUnit(to);
  };
  const Chosen = VIEWS.find((one) => one.name === view)?.view ?? Top;
  return html`<${Head} view=${view} unit=${unit ?? "mm"} turn=${turn} />
    <main id="main" class=${`view view-${view}`}>
      <h1 class="hidden-words">${drum?.name ?? place.dataset.name}: ${VIEWS.find((one) => one.name === view)?.words}</h1>
      ${talk.away && html`<div class="trouble" role="alert"><p>Kerftone does not answer. Is it still running on this computer? This page goes on by itself when it does.</p></div>`}
      ${broken && html`<${Trouble} error=${broken} />`}
      ${broken && talk.state.undo && html`<p><button type="button" class="strong" onClick=${() => talk.send("undo")}>Go back to before that</button></p>`}
      ${talk.trouble && html`<${Trouble} error=${talk.trouble.error} close=${() => talk.forgive()} remedy=${remedy} />`}
      ${drum && unit && html`<${Chosen} talk=${talk} unit=${unit} chosen=${chosen} choose=${setChosen} />`}
    </main>`;
}

/** @param {string} what */
function remedy(what) {
  talk.forgive();
  if (what === "lengths") talk.send("lengths");
  if (what === "begin") location.href = "/begin";
}

/** @param {string} what */
function step(what) {
  const words = talk.state[what];
  if (words) talk.send(what).then(() => say(`${what === "undo" ? "Undone" : "Done again"}: ${words}.`));
}

/** @param {KeyboardEvent} event */
function shortcut(event) {
  const typing = event.target instanceof HTMLInputElement || event.target instanceof HTMLSelectElement;
  if (typing || !(event.ctrlKey || event.metaKey) || event.key.toLowerCase() !== "z") return;
  event.preventDefault();
  step(event.shiftKey ? "redo" : "undo");
}

function Head({ view, unit, turn }) {
  const { drum, undo, redo } = talk.state;
  return html`<header class="rail">
      <a class="brand" href="/" aria-label=${place.dataset.alone ? "Kerftone" : "Kerftone: your drums"}><img src="/static/mark.svg" alt="" width="36" height="36" /></a>
      <p class="name">${drum?.name ?? place.dataset.name}</p>
      <div class="tools">
        <button type="button" disabled=${!undo} title=${undo ? `Undo: ${undo}` : null} onClick=${() => step("undo")}>Undo</button>
        <button type="button" disabled=${!redo} title=${redo ? `Redo: ${redo}` : null} onClick=${() => step("redo")}>Redo</button>
        <div class="switch" role="group" aria-label="Lengths in">
          ${["mm", "in"].map((one) => html`<button type="button" aria-pressed=${unit === one ? "true" : "false"} onClick=${() => turn(one)}>${one}</button>`)}
        </div>
      </div>
    </header>
    <nav class="views" aria-label="Views">
      ${VIEWS.map((one) => html`<a href=${`#${one.name}`} aria-current=${view === one.name ? "page" : null}>${one.words}</a>`)}
    </nav>`;
}

render(html`<${Drum} />`, place);
