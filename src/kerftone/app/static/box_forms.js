// @ts-check
// The forms of the box: walls and corners, how top and bottom sit, finish, mallets and pickup.

import { html } from "./vendor/preact-htm.js";
import { Choice, Length, Typed } from "./fields.js";

const JOINTS = ["mitre", "mitre with keys", "butt", "finger", "rabbet"];
export const MOUNTS = [["on walls", "on the walls"], ["in ledge", "let in, on a ledge"], ["on a lip", "hung by a lip"]];
const GLUED = [["ledge and edges", "ledge and edges"], ["ledge", "ledge alone"]];
const FEET = [["rubber", "rubber"], ["felt", "felt"], ["cork", "cork"], ["wood", "wood"], ["none", "none"]];
const BOTTOMS = [["none", "no bottom"], ["under", "under the walls"], ["let in", "let in"], ["on a lip", "let in, on a lip"]];
const STANDS = [["held", "held still below"], ["free", "on its feet"]];
const WHEN = [["before glue-up", "before glue-up"], ["after glue-up", "after glue-up"]];
const BALLS = ["soft rubber", "hard rubber", "wood"];
const BAR_MM = 20;
const LOWEST_BAR_MM = 15;
const SIDES = [["quiet", "kept down"], ["played", "played, to be heard"]];
const EDGES = [["none", "uncut"], ["arch", "arched"], ["straight", "cut straight"]];
const RELIEF_MM = { rise: 12, inset: 40 };
const CUTS = ["flatsawn", "quartersawn"];
const WALLS = ["front", "back", "left", "right"];

/** Ways to send one key: as a length, as a word, as a number. @param {import("./talk.js").Talk} talk */
function ways(talk) {
  const number = (/** @type {string} */ typed) => Number(typed.replace(",", ".").replace("−", "-"));
  return {
    mm: (/** @type {string[]} */ ...at) => (/** @type {object} */ value) => talk.change({ do: "set", at, ...value }),
    word: (/** @type {string[]} */ ...at) => (/** @type {string} */ value) => talk.change({ do: "set", at, value }),
    number: (/** @type {string[]} */ ...at) => (/** @type {string} */ typed) => talk.change({ do: "set", at, value: number(typed) }),
  };
}

/** @param {{talk: import("./talk.js").Talk, unit: any}} props */
export function WallsForm({ talk, unit }) {
  const { box, slots } = talk.state.drum;
  const set = ways(talk);
  const keyed = box.joint === "mitre with keys";
  const barred = box.root_bar_mm > 0;
  const bars = (/** @type {string} */ value) => {
    const [wide, high] = value === "yes" ? [BAR_MM, Math.max(LOWEST_BAR_MM, Math.round(box.height_mm / 2))] : [0, 0];
    return talk.change({ do: "set", at: ["box", "root_bar"], mm: wide }, { do: "set", at: ["box", "root_bar_height"], mm: high });
  };
  return html`<section class="panel" aria-label="Walls and corners">
    <h2>Walls and corners</h2>
    <div class="grid">
      <${Typed} label="Wood of the walls" value=${box.wood} save=${set.word("box", "wood")} />
      <${Length} label="Walls, thickness" mm=${box.wall_mm} unit=${unit} save=${set.mm("box", "wall")} />
      <${Length} label="Walls, height" mm=${box.height_mm} unit=${unit} save=${set.mm("box", "height")} />
      <${Choice} label="Corners" value=${box.joint} options=${JOINTS} save=${set.word("box", "joint")} />
      ${keyed && html`<${Typed} label="Keys a corner" value=${box.keys.count} numeric save=${set.number("box", "keys", "count")} />`}
      ${keyed && html`<${Length} label="Keys, thickness" mm=${box.keys.thickness_mm} unit=${unit} save=${set.mm("box", "keys", "thickness")} />`}
      <${Length} label="Edges rounded by" mm=${box.round_over_mm} unit=${unit} save=${set.mm("box", "round_over")} />
      <${Length} label="End to root" mm=${slots.end_margin_mm} unit=${unit} save=${set.mm("slots", "end_margin")} />
      <${Choice} label="Root bars" value=${barred ? "yes" : "no"} options=${[["no", "none"], ["yes", "in the end walls"]]} save=${bars} />
      ${barred && html`<${Length} label="Root bars, width" mm=${box.root_bar_mm} unit=${unit} save=${set.mm("box", "root_bar")} />`}
      ${barred && html`<${Length} label="Root bars, height" mm=${box.root_bar_height_mm} unit=${unit} save=${set.mm("box", "root_bar_height")} />`}
    </div>
    <p class="hint">Root bars are glued inside the end walls, under the top, and stiffen the tongues’ roots.</p>
  </section>`;
}

/** @param {{talk: import("./talk.js").Talk, unit: any}} props */
export function SeatsForm({ talk, unit }) {
  const { box, top } = talk.state.drum;
  const { bottom } = box;
  const set = ways(talk);
  const gap = box.mount !== "on walls";
  return html`<section class="panel" aria-label="Top, bottom and feet">
    <h2>Top, bottom and feet</h2>
    <div class="grid">
      <${Choice} label="The top sits" value=${box.mount} options=${MOUNTS} save=${(/** @type {string} */ to) => talk.change({ do: "mount", to })} />
      ${box.mount === "in ledge" && html`<${Length} label="Ledge" mm=${box.ledge_mm} unit=${unit} save=${set.mm("box", "ledge")} />`}
      ${box.mount === "in ledge" && html`<${Choice} label="Glued at" value=${box.glued} options=${GLUED} save=${set.word("box", "glued")} />`}
      ${box.mount === "on a lip" && html`<${Length} label="Lip, over the walls" mm=${top.lip_mm} unit=${unit} save=${set.mm("top", "lip")} />`}
      ${box.mount === "on a lip" && html`<${Length} label="Lip, thickness" mm=${top.lip_thickness_mm} unit=${unit} save=${set.mm("top", "lip_thickness")} />`}
      ${gap && html`<${Length} label="Gap round the top" mm=${box.clearance_mm} unit=${unit} save=${set.mm("box", "clearance")} />`}
      <${Choice} label="Bottom" value=${bottom?.fit ?? "none"} options=${BOTTOMS} save=${(/** @type {string} */ fit) => talk.change({ do: "bottom", fit })} />
      ${bottom && html`<${BottomFields} bottom=${bottom} unit=${unit} set=${set} />`}
      <${LowerEdge} talk=${talk} unit=${unit} set=${set} />
      <${Choice} label="Feet" value=${box.feet} options=${FEET} save=${set.word("box", "feet", "kind")} />
      ${box.feet !== "none" && html`<${Length} label="Feet, height" mm=${box.feet_mm.height} unit=${unit} save=${set.mm("box", "feet", "height")} />`}
      ${box.feet !== "none" && html`<${Length} label="Feet, across" mm=${box.feet_mm.diameter} unit=${unit} save=${set.mm("box", "feet", "diameter")} />`}
      <${Choice} label="When played it is" value=${box.stands} options=${STANDS} save=${set.word("box", "stands")} />
    </div>
  </section>`;
}

/** The walls' lower edge: uncut, or cut out so that feet are left at the corners. */
function LowerEdge({ talk, unit, set }) {
  const relief = talk.state.drum.box.foot_relief;
  const at = (/** @type {string} */ key) => ["box", "foot_relief", key];
  const cut = (/** @type {string} */ shape) => {
    if (shape === "none") return talk.change({ do: "set", at: ["box", "foot_relief"], value: null });
    const sizes = relief ? [] : [{ do: "set", at: at("rise"), mm: RELIEF_MM.rise }, { do: "set", at: at("inset"), mm: RELIEF_MM.inset }];
    return talk.change({ do: "set", at: at("shape"), value: shape }, ...sizes);
  };
  return html`<${Choice} label="Walls’ lower edge" value=${relief?.shape ?? "none"} options=${EDGES} save=${cut} />
    ${relief && html`<${Length} label="Cut out, how high" mm=${relief.rise_mm} unit=${unit} save=${set.mm(...at("rise"))} />`}
    ${relief && html`<${Length} label="Cut out, from the corner" mm=${relief.inset_mm} unit=${unit} save=${set.mm(...at("inset"))} />`}`;
}

function BottomFields({ bottom, unit, set }) {
  return html`<${Typed} label="Wood of the bottom" value=${bottom.wood} save=${set.word("bottom", "wood")} />
    <${Choice} label="Its rings" value=${bottom.cut} options=${CUTS} save=${set.word("bottom", "cut")} />
    <${Length} label="Bottom, thickness" mm=${bottom.thickness_mm} unit=${unit} save=${set.mm("bottom", "thickness")} />
    ${bottom.fit === "on a lip" && html`<${Length} label="Its lip, over the walls" mm=${bottom.lip_mm} unit=${unit} save=${set.mm("bottom", "lip")} />`}
    ${bottom.fit === "on a lip" && html`<${Length} label="Its lip, thickness" mm=${bottom.lip_thickness_mm} unit=${unit} save=${set.mm("bottom", "lip_thickness")} />`}
    ${bottom.fit !== "under" && html`<${Length} label="Gap round it" mm=${bottom.clearance_mm} unit=${unit} save=${set.mm("bottom", "clearance")} />`}
    ${bottom.fit !== "under" && html`<${Length} label="Above the walls’ edge" mm=${bottom.recess_mm} unit=${unit} save=${set.mm("bottom", "recess")} />`}`;
}

/** @param {{talk: import("./talk.js").Talk, unit: any}} props */
export function FinishForm({ talk, unit }) {
  const { finish, mallets, pickup } = talk.state.drum.box;
  const set = ways(talk);
  return html`<section class="panel" aria-label="Finish, mallets and pickup">
    <h2>Finish, mallets and pickup</h2>
    <div class="grid">
      <${Typed} label="Finish" value=${finish.kind} save=${set.word("finish", "kind")} />
      <${Typed} label="Coats" value=${finish.coats} numeric save=${set.number("finish", "coats")} />
      <${Typed} label="Hours between coats" value=${finish.hours_between} numeric save=${set.number("finish", "hours_between")} />
      <${Choice} label="Finish goes on" value=${finish.when} options=${WHEN} save=${set.word("finish", "when")} />
      <${Typed} label="Mallets" value=${mallets.count} numeric save=${set.number("mallets", "count")} />
      <${Choice} label="Their balls" value=${mallets.ball} options=${BALLS} save=${set.word("mallets", "ball")} />
      <${Choice} label="Pickup" value=${pickup ? "yes" : "no"} options=${[["no", "none"], ["yes", "a disc inside"]]}
        save=${(/** @type {string} */ value) => talk.change({ do: "pickup", on: value === "yes" })} />
      ${pickup && html`<${PickupFields} pickup=${pickup} unit=${unit} set=${set} />`}
    </div>
    ${pickup && html`<p class="hint">Where the disc goes: left empty, the booklet works out the best place from how the top moves.</p>`}
  </section>`;
}

function PickupFields({ pickup, unit, set }) {
  return html`<${Length} label="Disc, across" mm=${pickup.disc_mm} unit=${unit} save=${set.mm("pickup", "disc")} />
    <${Length} label="Disc, from the left" mm=${pickup.x_mm} unit=${unit} save=${set.mm("pickup", "x")} />
    <${Length} label="Disc, from the front" mm=${pickup.y_mm} unit=${unit} save=${set.mm("pickup", "y")} />
    <${Choice} label="Knocks on the sides" value=${pickup.sides} options=${SIDES} save=${set.word("pickup", "sides")} />
    <${Choice} label="Jack and knob in the" value=${pickup.wall} options=${WALLS.map((one) => [one, `${one} wall`])} save=${set.word("pickup", "wall")} />
    <${Length} label="Jack’s thread" mm=${pickup.jack_thread_mm} unit=${unit} save=${set.mm("pickup", "jack_thread")} />
    <${Length} label="Knob’s thread" mm=${pickup.pot_thread_mm} unit=${unit} save=${set.mm("pickup", "pot_thread")} />
    <${Length} label="They reach in by" mm=${pickup.body_depth_mm} unit=${unit} save=${set.mm("pickup", "body_depth")} />`;
}
