// @ts-check
// Fields and buttons: a length that takes either unit, a choice, what is being done, what was refused.

import { html, useEffect, useRef, useState } from "./vendor/preact-htm.js";
import { plain, step } from "./lengths.js";

let numbers = 0;

/** A name for a field that no other has. */
export function useName() {
  const [name] = useState(() => `f${(numbers += 1)}`);
  return name;
}

/** What is typed in a field until it is kept: the answer to an earlier change does not take it away.
 * @param {any[]} stands what stands in the field otherwise @returns {[string | null, (typed: string) => void, (typed: string | null) => void]}
 *   what is typed, how to type, and how to end: with what was typed until the field says otherwise, or with null */
function useTyping(stands) {
  const [typed, setTyped] = useState(/** @type {string | null} */ (null));
  const typing = useRef(false);
  useEffect(() => {
    if (!typing.current) setTyped(null);
  }, stands);
  const set = (/** @type {boolean} */ goesOn) => (/** @type {string | null} */ text) => {
    typing.current = goesOn;
    setTyped(text);
  };
  return [typed, set(true), set(false)];
}

/** A length that can be typed, in mm or in inches with fractions, or stepped.
 * `empty`: what holds where it is not stated, so that it may be left empty.
 * @param {{label: string, mm: number | null, unit: any, save: (typed: object) => any, hint?: string, steps?: boolean,
 *   wrong?: boolean, empty?: string}} props */
export function Length({ label, mm, unit, save, hint, steps, wrong, empty }) {
  const name = useName();
  const [typed, type, end] = useTyping([mm, unit]);
  const keep = () => {
    const emptied = empty && typed?.trim() === "" && mm !== null;
    const wanted = emptied || (typed !== null && typed.trim() && typed !== plain(mm, unit, 2));
    end(wanted ? typed : null);
    if (wanted) save(emptied ? { value: null } : { typed, unit });
  };
  const nudge = (/** @type {number} */ way) => save({ mm: (mm ?? 0) + way * step(unit) });
  const keyed = (/** @type {KeyboardEvent} */ event) => {
    if (event.key === "Enter") keep();
    if (event.key === "Escape") end(null);
  };
  return html`<div class="field">
    <label for=${name}>${label} <span class="unit">${unit}</span></label>
    <div class="with-steps">
      ${steps && html`<button type="button" class="step" aria-label=${`${label}: shorter`} onClick=${() => nudge(-1)}>−</button>`}
      <input id=${name} inputmode=${unit === "in" ? "text" : "decimal"} autocomplete="off" value=${typed ?? plain(mm, unit, 2)}
        aria-invalid=${wrong ? "true" : null} placeholder=${mm === null ? empty ?? "not known yet" : null}
        onInput=${(/** @type {any} */ event) => type(event.target.value)} onBlur=${keep} onKeyDown=${keyed} />
      ${steps && html`<button type="button" class="step" aria-label=${`${label}: longer`} onClick=${() => nudge(1)}>+</button>`}
    </div>
    ${hint && html`<p class="hint">${hint}</p>`}
  </div>`;
}

/** A number or a word that can be typed.
 * @param {{label: string, value: string | number, save: (value: string) => any, hint?: string, numeric?: boolean}} props */
export function Typed({ label, value, save, hint, numeric }) {
  const name = useName();
  const [typed, type, end] = useTyping([value]);
  const keep = () => {
    if (typed !== null && typed.trim() && typed !== String(value)) save(typed.trim());
    end(null);
  };
  return html`<div class="field">
    <label for=${name}>${label}</label>
    <input id=${name} autocomplete="off" inputmode=${numeric ? "decimal" : null} value=${typed ?? value}
      onInput=${(/** @type {any} */ event) => type(event.target.value)} onBlur=${keep}
      onKeyDown=${(/** @type {KeyboardEvent} */ event) => event.key === "Enter" && keep()} />
    ${hint && html`<p class="hint">${hint}</p>`}
  </div>`;
}

/** One of several.
 * @param {{label: string, value: string, options: Array<string | [string, string]>, save: (value: string) => any}} props */
export function Choice({ label, value, options, save }) {
  const name = useName();
  return html`<div class="field">
    <label for=${name}>${label}</label>
    <select id=${name} value=${value} onChange=${(/** @type {any} */ event) => save(event.target.value)}>
      ${options.map((one) => {
        const [key, words] = Array.isArray(one) ? one : [one, one];
        return html`<option key=${key} value=${key} selected=${key === value}>${words}</option>`;
      })}
    </select>
  </div>`;
}

/** What is being worked out, with a way to stop it. @param {{task: any, stop: () => any}} props */
export function Doing({ task, stop }) {
  const share = task.share === null ? null : Math.round(100 * task.share);
  return html`<div class="doing" role="group" aria-label="Being worked out">
    <p>${task.words || (task.state === "waiting" ? "Waiting for its turn." : "Beginning.")}</p>
    <progress max="100" value=${share} aria-label="Share done">${share === null ? "" : `${share} %`}</progress>
    <p class="quiet">${share === null ? "" : `${share} % · `}${Math.round(task.seconds)} s</p>
    <button type="button" onClick=${stop}>Stop</button>
  </div>`;
}

/** What was refused, with its remedies as buttons.
 * @param {{error: any, remedy?: (what: string) => void, close?: () => void}} props */
export function Trouble({ error, remedy, close }) {
  return html`<div class="trouble" role="alert">
    <p>${error.message}</p>
    <p class="buttons">
      ${(error.remedies ?? []).map((/** @type {any} */ one) =>
        one.do && remedy ? html`<button type="button" onClick=${() => remedy(one.do)}>${one.words}</button>` : html`<span>${one.words}</span>`,
      )}
      ${close && html`<button type="button" onClick=${close}>All right</button>`}
    </p>
  </div>`;
}
