// @ts-check
// The same phrase as two recordings: in front of the drum, and through its pickup.

import { html, useState } from "./vendor/preact-htm.js";
import { usePress } from "./pressed.js";
import { phraseOf } from "./sides.js";
import { ask, say } from "./talk.js";

/** @typedef {{room: string, pickup: string, revision: number}} Made */

/** @param {{talk: import("./talk.js").Talk, mallet: string, inTurn: number[][]}} props */
export function RoomAndPickup({ talk, mallet, inTurn }) {
  const [made, setMade] = useState(/** @type {Made | null} */ (null));
  const { busy, press, doing } = usePress(talk, "recordings");
  const make = () => press(async () => {
    setMade(await ask(`${talk.address}/recordings`, { mallet, played: talk.kept.length ? phraseOf(talk) : inTurn }));
    say("Both recordings are made.");
  });
  return html`<section class="panel" aria-label="Room and pickup">
    <h2>Room and pickup</h2>
    <p class="hint">${talk.kept.length ? "The phrase you kept" : "The notes in turn"}, as heard in front of the drum and as its contact disc gives it. Each is as loud as it can be: compare the notes within one.</p>
    ${doing}
    <p class="buttons"><button type="button" disabled=${busy} onClick=${make}>${made ? "Make both again" : "Make both"}</button></p>
    ${made && made.revision !== talk.state.revision && html`<p>Out of date: made before the last change.</p>`}
    ${made && html`<${Recording} name="In front of the drum" address=${made.room} /><${Recording} name="Through the pickup" address=${made.pickup} />`}
  </section>`;
}

/** @param {{name: string, address: string}} props */
function Recording({ name, address }) {
  return html`<figure class="recording"><figcaption>${name}</figcaption><audio controls preload="metadata" src=${address} aria-label=${name}></audio></figure>`;
}
