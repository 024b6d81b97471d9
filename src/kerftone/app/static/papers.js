// @ts-check
// The papers: booklet and templates looked at as pages, then saved; files for machines; everything in one to give away.

import { html, useState } from "./vendor/preact-htm.js";
import { Doing } from "./fields.js";
import { ask, say } from "./talk.js";

const KINDS = [
  ["booklet", "The booklet", "Parts, settings, order of work, checks and cautions, with the cut list as a table."],
  ["pdf", "Templates to print", "The top, its underside and the walls at full size, in pages to tape together."],
  ["svg", "Drawings (SVG)", "One file a sheet, at true size."],
  ["dxf", "For a machine (DXF)", "The cuts of top, underside, walls and bottom, in millimetres."],
  ["step", "As solids (STEP)", "The top, and the box with its joints."],
  ["all", "Give the plan away", "One file with the booklet, the templates, the drum's file and its sound."],
];

/** @param {number} bytes */
function size(bytes) {
  return bytes < 1e6 ? `${Math.max(1, Math.round(bytes / 1000))} kB` : `${(bytes / 1e6).toFixed(1)} MB`;
}

/** @param {{talk: import("./talk.js").Talk}} props */
export function Papers({ talk }) {
  const [made, setMade] = useState(/** @type {Record<string, any>} */ ({}));
  const [making, setMaking] = useState("");
  const task = talk.task("papers");
  const open = making && task && ["waiting", "running"].includes(task.state);
  const make = async (/** @type {string} */ kind) => {
    setMaking(kind);
    try {
      const found = await ask(`${talk.address}/papers`, { kind });
      setMade((now) => ({ ...now, [kind]: found }));
      say("The papers are made.");
    } catch (error) {
      talk.refuse(error);
      scrollTo(0, 0);
    } finally {
      setMaking("");
    }
  };
  const old = (/** @type {string} */ kind) => made[kind] && made[kind].revision !== talk.state.revision;
  return html`<section class="panel papers" aria-label="Papers">
    <h2>Papers</h2>
    ${open && html`<${Doing} task=${task} stop=${() => ask(`/api/task/${task.number}/stop`, {})} />`}
    <ul class="checks">${KINDS.map(
      ([kind, words, about]) => html`<li key=${kind} class=${made[kind]?.pages.length ? "shown" : ""}>
        <p><strong>${words}</strong> <span class="quiet">${about}</span></p>
        <p class="buttons">
          <button type="button" class=${kind === "booklet" ? "strong" : ""} disabled=${making !== ""} onClick=${() => make(kind)}
            aria-label=${`${made[kind] ? "Make it again" : "Make it"}: ${words}`}>${made[kind] ? "Make it again" : "Make it"}</button>
          ${made[kind]?.files.map((/** @type {any} */ one) => html`<a class="button" href=${one.address} download=${one.name}>Save ${one.name} <span class="quiet">${size(one.bytes)}</span></a>`)}
        </p>
        ${old(kind) && html`<p class="quiet">Out of date: the drum was changed since.</p>`}
        ${made[kind]?.pages.length > 0 &&
        html`<div class="pages">${made[kind].pages.map(
          (/** @type {string} */ address, /** @type {number} */ at) => html`<figure><img src=${address} alt=${`${words}, page ${at + 1}`} loading="lazy" /><figcaption class="quiet">Page ${at + 1}</figcaption></figure>`,
        )}</div>`}
      </li>`,
    )}</ul>
  </section>`;
}
