// @ts-check
// The box and the plan: how the box is made, what the shop's checks say, and the papers to print and give away.

import { html, useEffect, useState } from "./vendor/preact-htm.js";
import { BoxPicture } from "./box_picture.js";
import { Choice, Length, Typed } from "./fields.js";
import { length } from "./lengths.js";
import { Papers } from "./papers.js";
import { ask, refusal } from "./talk.js";

const JOINTS = ["mitre", "mitre with keys", "butt", "finger", "rabbet"];
const MOUNTS = [["on walls", "on the walls"], ["in ledge", "let in, on a ledge"], ["on a lip", "hung in, on a lip"]];
const FEET = [["rubber", "rubber"], ["wood", "wood"], ["none", "none"]];
const BOTTOMS = [["none", "no bottom"], ["under", "under the walls"], ["let in", "let in"], ["on a lip", "let in, on a lip"]];
const VERDICTS = { good: "Good", mind: "Mind", mend: "Mend" };

/** The shop plan, asked for again whenever the drum has changed. */
function useShop(talk) {
  const [shop, setShop] = useState(/** @type {any} */ (null));
  const { revision } = talk.state;
  useEffect(() => {
    let wanted = true;
    ask(`${talk.address}/shop`)
      .then((found) => wanted && setShop(found))
      .catch((error) => wanted && setShop({ error: refusal(error).error }));
    return () => {
      wanted = false;
    };
  }, [revision]);
  return shop;
}

/** @param {{talk: import("./talk.js").Talk, unit: any}} props */
export function BoxAndPlan({ talk, unit }) {
  const shop = useShop(talk);
  const { drum } = talk.state;
  return html`<div class="box-view">
    <section class="drawing" aria-label="The box, cut open along its length"><${BoxPicture} drum=${drum} unit=${unit} /></section>
    <div class="panels">
      <${BoxForm} talk=${talk} unit=${unit} />
      <${Checks} shop=${shop} />
      <${Boards} talk=${talk} unit=${unit} shop=${shop} />
      <${Parts} shop=${shop} unit=${unit} />
    </div>
    <${Papers} talk=${talk} />
  </div>`;
}

function BoxForm({ talk, unit }) {
  const { box, slots } = talk.state.drum;
  const set = (/** @type {string[]} */ ...at) => (/** @type {object} */ value) => talk.change({ do: "set", at, ...value });
  const plain = (/** @type {string[]} */ ...at) => (/** @type {string} */ value) => talk.change({ do: "set", at, value });
  const bottom = (/** @type {string} */ how) => {
    if (how === "none") return talk.change({ do: "bottom", on: false });
    const fit = { do: "set", at: ["bottom", "fit"], value: how };
    return box.bottom_mm === null ? talk.change({ do: "bottom", on: true }, fit) : talk.change(fit);
  };
  const mount = (/** @type {string} */ how) => {
    const changes = [{ do: "set", at: ["box", "mount"], value: how }];
    if (how === "in ledge" && !box.ledge_mm) changes.push(/** @type {any} */ ({ do: "set", at: ["box", "ledge"], mm: Math.round(box.wall_mm / 2) }));
    return talk.change(...changes);
  };
  return html`<section class="panel" aria-label="The box">
    <h2>The box</h2>
    <div class="grid">
      <${Typed} label="Wood of the walls" value=${box.wood} save=${plain("box", "wood")} />
      <${Length} label="Walls, thickness" mm=${box.wall_mm} unit=${unit} save=${set("box", "wall")} />
      <${Length} label="Walls, height" mm=${box.height_mm} unit=${unit} save=${set("box", "height")} />
      <${Choice} label="Corners" value=${box.joint} options=${JOINTS} save=${plain("box", "joint")} />
      <${Choice} label="The top is" value=${box.mount} options=${MOUNTS} save=${mount} />
      ${box.mount === "in ledge" && html`<${Length} label="Ledge" mm=${box.ledge_mm} unit=${unit} save=${set("box", "ledge")} />`}
      ${box.root_bar_mm > 0 && html`<${Length} label="Root bars, width" mm=${box.root_bar_mm} unit=${unit} save=${set("box", "root_bar")} />`}
      ${box.root_bar_mm > 0 && html`<${Length} label="Root bars, height" mm=${box.root_bar_height_mm} unit=${unit} save=${set("box", "root_bar_height")} />`}
      <${Choice} label="Bottom" value=${box.bottom_fit ?? "none"} options=${BOTTOMS} save=${bottom} />
      ${box.bottom_mm !== null && html`<${Length} label="Bottom, thickness" mm=${box.bottom_mm} unit=${unit} save=${set("bottom", "thickness")} />`}
      <${Choice} label="Feet" value=${box.feet} options=${FEET} save=${plain("box", "feet", "kind")} />
      <${Length} label="Edges rounded by" mm=${box.round_over_mm} unit=${unit} save=${set("box", "round_over")} />
      <${Typed} label="Finish" value=${box.finish} save=${plain("finish", "kind")} />
      <${Choice} label="Pickup" value=${box.pickup ? "yes" : "no"} options=${[["no", "none"], ["yes", "a disc under the top"]]}
        save=${(/** @type {string} */ value) => talk.change({ do: "pickup", on: value === "yes" })} />
      <${Length} label="End to root" mm=${slots.end_margin_mm} unit=${unit} save=${set("slots", "end_margin")} />
    </div>
  </section>`;
}

function Checks({ shop }) {
  const [all, setAll] = useState(false);
  if (!shop) return html`<section class="panel" aria-label="Checks"><h2>Checks</h2><p class="quiet">One moment.</p></section>`;
  if (shop.error) return html`<section class="panel trouble" role="alert" aria-label="Checks"><h2>It cannot be made so</h2><p>${shop.error.message}</p></section>`;
  const open = shop.checks.filter((/** @type {any} */ one) => one.verdict !== "good");
  const shown = all ? shop.checks : open;
  return html`<section class="panel" aria-label="Checks">
    <h2>Checks <span class="quiet">${open.length ? `${open.length} to look at` : "all good"}</span></h2>
    <ul class="checks">${shown.map(
      (/** @type {any} */ one) => html`<li>
        <span class=${`verdict ${one.verdict}`}>${VERDICTS[/** @type {"good"} */ (one.verdict)]}</span> <strong>${one.name}.</strong> ${one.numbers}
        ${one.mend && html`<br />${one.mend}`}
      </li>`,
    )}</ul>
    <p><button type="button" aria-pressed=${all ? "true" : "false"} onClick=${() => setAll(!all)}>${all ? "Only what is not good" : `All ${shop.checks.length} checks`}</button></p>
  </section>`;
}

function Boards({ talk, unit, shop }) {
  const { box, top } = talk.state.drum;
  const [typed, setTyped] = useState({ wood: top.wood, length: "", width: "", thickness: "" });
  const field = (/** @type {"wood"|"length"|"width"|"thickness"} */ key, /** @type {string} */ label) => html`<div class="field">
    <label for=${`stock-${key}`}>${label}</label>
    <input id=${`stock-${key}`} autocomplete="off" value=${typed[key]} onInput=${(/** @type {any} */ event) => setTyped({ ...typed, [key]: event.target.value })} />
  </div>`;
  const add = async () => {
    if (await talk.change({ do: "stock", unit, ...typed })) setTyped({ ...typed, length: "", width: "", thickness: "" });
  };
  const left = shop?.cutting?.unplaced ?? shop?.cutting?.missing ?? [];
  return html`<section class="panel" aria-label="Boards on hand">
    <h2>Boards on hand</h2>
    ${box.stock.length === 0 && html`<p class="quiet">None is listed. List what you have, and the plan lays the parts out on it.</p>`}
    <ul class="checks">${box.stock.map(
      (/** @type {any} */ one, /** @type {number} */ at) => html`<li>${one.wood}: ${length(one.length_mm, unit)} × ${length(one.width_mm, unit)} × ${length(one.thickness_mm, unit)}
        <button type="button" aria-label=${`Take board ${at + 1} off the list`} onClick=${() => talk.change({ do: "stock", number: at })}>Take off</button></li>`,
    )}</ul>
    ${box.stock.length > 0 && left.length > 0 && html`<p>${left.length} parts do not fit on these boards.</p>`}
    ${field("wood", "Wood")}
    <div class="grid">${field("length", `Length, ${unit}`)}${field("width", `Width, ${unit}`)}${field("thickness", `Thickness, ${unit}`)}</div>
    <p><button type="button" disabled=${!typed.length || !typed.width || !typed.thickness} onClick=${add}>Put on the list</button></p>
  </section>`;
}

function Parts({ shop, unit }) {
  if (!shop?.parts) return null;
  return html`<section class="panel" aria-label="Parts">
    <h2>Parts ${shop.weight_g !== null && html`<span class="quiet">about ${(shop.weight_g / 1000).toFixed(1)} kg in all</span>`}</h2>
    <div class="scrolls" tabindex="0" role="group" aria-label="Parts, to be scrolled sideways"><table>
      <thead><tr><th scope="col">Part</th><th scope="col">How many</th><th scope="col">Finished size</th><th scope="col">Wood</th></tr></thead>
      <tbody>${shop.parts.map(
        (/** @type {any} */ one) => html`<tr><th scope="row">${one.name}</th><td>${one.count}</td>
          <td>${one.size_mm.map((/** @type {number} */ mm) => length(mm, unit).replace(` ${unit}`, "")).join(" × ")} ${unit}</td><td>${one.wood}</td></tr>`,
      )}</tbody>
    </table></div>
  </section>`;
}
