// @ts-check
// The box and the plan: how the box is made, what the shop's checks say, and the papers to print and give away.

import { html, useEffect, useState } from "./vendor/preact-htm.js";
import { Boards } from "./boards.js";
import { FinishForm, SeatsForm, WallsForm } from "./box_forms.js";
import { BoxPicture } from "./box_picture.js";
import { Checks } from "./checks.js";
import { length } from "./lengths.js";
import { Papers } from "./papers.js";
import { SoundHolesForm } from "./sound_holes.js";
import { ask, refusal } from "./talk.js";

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
      <${Checks} talk=${talk} shop=${shop} unit=${unit} />
      <${WallsForm} talk=${talk} unit=${unit} />
      <${SeatsForm} talk=${talk} unit=${unit} />
      <${SoundHolesForm} talk=${talk} unit=${unit} />
      <${FinishForm} talk=${talk} unit=${unit} />
      <${Boards} talk=${talk} unit=${unit} shop=${shop} />
      <${Parts} shop=${shop} unit=${unit} />
    </div>
    <${Papers} talk=${talk} />
  </div>`;
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
