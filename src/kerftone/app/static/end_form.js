// @ts-check
// The end of the tongues, or of the chosen one alone: a shape by its name, or points of one's own that are dragged,
// stepped with the arrow keys, or typed. mm, along 0 at the tip line and negative towards the root.

import { html, useEffect, useRef, useState } from "./vendor/preact-htm.js";
import { Choice, Length } from "./fields.js";
import { length, step } from "./lengths.js";
import { say } from "./talk.js";

const SHAPES = [["square", "square"], ["round", "round"], ["slant", "slant"], ["curve", "gently curved"], ["own", "own points"]];
const BENDS = [["corner", "makes a corner"], ["smooth", "goes on smoothly"], ["arc", "is an arc"]];
const TOUCH_PX = 44;
const ROOM_MM = 10;
const LEAST_BACK_MM = 12;
const KEY_PAUSE_MS = 400;
/** @typedef {[number, number] | [number, number, string]} Point */

/** @param {{talk: import("./talk.js").Talk, unit: any, n: number}} props */
export function EndForm({ talk, unit, n }) {
  const { drum } = talk.state;
  const tongue = drum.tongues[n];
  const alone = tongue.end !== null;
  const end = tongue.end ?? drum.slots.tongue_end;
  const own = typeof end !== "string";
  const whose = alone ? n : null;
  const send = (/** @type {object} */ wish) => talk.change({ do: "end", tongue: whose, ...wish });
  const turn = (/** @type {string} */ to) =>
    talk.change({ do: "end", tongue: n, ...(to === "all" ? { shape: "as all" } : own ? { points: end } : { shape: end }) });
  if (drum.lines === null) return null;
  return html`<section class="panel" aria-label="End of the tongue">
    <h2>${alone ? `End of ${tongue.note} alone` : "End of the tongues"}</h2>
    <div class="grid">
      <${Choice} label="This end is of" value=${alone ? "one" : "all"} options=${[["all", "all tongues"], ["one", `${tongue.note} alone`]]} save=${turn} />
      <${Choice} label="Shape" value=${own ? "own" : end} options=${SHAPES} save=${(/** @type {string} */ shape) => send({ shape })} />
    </div>
    ${own && html`<${Points} key=${whose} points=${end} tongue=${tongue} width=${drum.lines.tongue_width_mm} unit=${unit} curve=${tongue.tip_mm ?? drum.lines.tips_mm[tongue.side]}
      save=${(/** @type {Point[]} */ points) => send({ points })} />`}
  </section>`;
}

/** @param {{points: Point[], tongue: any, width: number, unit: any, curve: number[][], save: (points: Point[]) => any}} props */
function Points({ points: written, tongue, width, unit, curve, save }) {
  const [moved, setMoved] = useState(/** @type {Point[] | null} */ (null));
  const [chosen, setAt] = useState(Math.floor(written.length / 2));
  const sent = useRef(/** @type {Point[] | null} */ (null));
  useEffect(() => setMoved((now) => (now === sent.current ? null : now)), [JSON.stringify(written)]);
  const points = moved ?? written;
  const at = Math.min(chosen, points.length - 1);
  const put = (/** @type {number} */ n, /** @type {number} */ along, /** @type {number} */ across) => {
    const edge = n === 0 || n === points.length - 1;
    const place = [along, edge ? points[n][1] : across];
    return /** @type {Point[]} */ (points.map((one, number) => (number === n ? [...place, ...one.slice(2)] : one)));
  };
  const keep = (/** @type {Point[]} */ next) => {
    sent.current = next;
    setMoved(next);
    return save(next);
  };
  const bend = (/** @type {string} */ how) => keep(/** @type {Point[]} */ (points.map((one, n) => (n === at ? (how === "corner" ? [one[0], one[1]] : [one[0], one[1], how]) : one))));
  const add = () => {
    const from = Math.min(at, points.length - 2);
    const [a, b] = [points[from], points[from + 1]];
    setAt(from + 1);
    keep([...points.slice(0, from + 1), [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2], ...points.slice(from + 1)]);
  };
  const inner = at > 0 && at < points.length - 1;
  const [along, across, how] = points[at];
  const half = width / 2;
  const off = Math.max(Math.abs(points[0][1] + half), Math.abs(points[points.length - 1][1] - half));
  const fit = () => {
    const share = width / (points[points.length - 1][1] - points[0][1]);
    keep(/** @type {Point[]} */ (points.map((one) => [one[0], -half + (one[1] - points[0][1]) * share, ...one.slice(2)])));
  };
  const typed = (/** @type {0 | 1} */ which) => (/** @type {any} */ value) => {
    const mm = value.mm ?? read(value.typed, value.unit);
    if (Number.isFinite(mm)) keep(which === 0 ? put(at, -mm, across) : put(at, along, mm));
  };
  return html`<${Drawing} points=${points} curve=${moved ? null : curve} width=${width} at=${at} setAt=${setAt} put=${put} move=${setMoved} keep=${keep} unit=${unit} />
    ${off > 0.5 && html`<p class="buttons"><button type="button" class="strong" onClick=${fit}>Stretch it to the tongue’s width</button></p>`}
    <p class="hint">The end seen from above, the root on the left, the front edge below. Drag a point or step it with the arrow keys; the furthest point is the tip, and stays where ${tongue.note} ends.</p>
    <div class="grid">
      <${Length} label=${`Point ${at + 1}, back from the tip`} mm=${-along} unit=${unit} save=${typed(0)} />
      ${inner && html`<${Length} label="From the middle, to the back" mm=${across} unit=${unit} save=${typed(1)} />`}
      ${inner && html`<${Choice} label="The line there" value=${how ?? "corner"} options=${BENDS} save=${bend} />`}
    </div>
    <p class="buttons"><button type="button" onClick=${add}>Add a point</button>
      <button type="button" disabled=${!inner || points.length < 4} onClick=${() => (setAt(at - 1), keep(points.filter((_, n) => n !== at)))}>Take point ${at + 1} away</button></p>`;
}

/** A length as typed, in mm: decimals, or inches with a fraction. @param {string} typed @param {string} unit */
function read(typed, unit) {
  const plain = typed.trim().replace(",", ".").replace("−", "-").replace(/["″]|in$/g, "").trim();
  const found = plain.match(/^(-?)(?:(\d+)\s+)?(\d+)\/(\d+)$/);
  const value = found ? (found[1] ? -1 : 1) * (Number(found[2] ?? 0) + Number(found[3]) / Number(found[4])) : Number(plain);
  return unit === "in" ? value * 25.4 : value;
}

/** The end at a large scale, with its points to take hold of. */
function Drawing({ points, curve, width, at, setAt, put, move, keep, unit }) {
  const svg = useRef(/** @type {any} */ (null));
  const grasp = useRef(/** @type {any} */ (null));
  const pause = useRef(0);
  const [scale, setScale] = useState(4);
  const back = Math.max(LEAST_BACK_MM, ...points.map((/** @type {Point} */ one) => -one[0])) + ROOM_MM;
  const wide = width / 2 + ROOM_MM;
  useEffect(() => {
    const watch = new ResizeObserver(() => {
      const turned = svg.current?.getScreenCTM();
      if (turned) setScale(turned.a);
    });
    watch.observe(svg.current);
    return () => watch.disconnect();
  }, []);
  const spot = (/** @type {PointerEvent} */ event) => new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.current.getScreenCTM().inverse());
  const down = (/** @type {number} */ n, /** @type {any} */ event) => {
    event.currentTarget.setPointerCapture(event.pointerId);
    const { x, y } = spot(event);
    grasp.current = { n, x: points[n][0] - x, y: points[n][1] + y, points: null };
    setAt(n);
  };
  const drag = (/** @type {PointerEvent} */ event) => {
    const held = grasp.current;
    if (!held) return;
    const { x, y } = spot(event);
    held.points = put(held.n, held.x + x, held.y - y);
    move(held.points);
  };
  const up = () => {
    const held = grasp.current;
    grasp.current = null;
    if (held?.points) keep(held.points);
  };
  const key = (/** @type {number} */ n, /** @type {KeyboardEvent} */ event) => {
    const way = /** @type {Record<string, number[]>} */ ({ ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] })[event.key];
    if (!way) return;
    event.preventDefault();
    const by = step(unit) * (event.shiftKey ? 10 : 1);
    const next = put(n, points[n][0] + way[0] * by, points[n][1] + way[1] * by);
    setAt(n);
    move(next);
    clearTimeout(pause.current);
    pause.current = setTimeout(() => keep(next), KEY_PAUSE_MS);
    say(`Point ${n + 1}: ${length(-next[n][0], unit)} back, ${length(next[n][1], unit)} across`);
  };
  const edge = (/** @type {number[][]} */ line) => line.map(([along, across]) => `${along.toFixed(2)},${(-across).toFixed(2)}`).join(" ");
  const drawn = curve ?? points;
  const reach = TOUCH_PX / scale;
  return html`<svg ref=${svg} class="end-drawing" viewBox=${`${-back} ${-wide} ${back + ROOM_MM} ${2 * wide}`} role="group" aria-label="The end, its points to be moved">
    <polygon class="board" points=${edge([[-back, -width / 2], ...drawn, [-back, width / 2]])} />
    <path class="axes" d=${`M0 ${-wide}V${wide}M${-back} 0H${ROOM_MM}`} />
    ${points.map((/** @type {Point} */ one, /** @type {number} */ n) => html`<g class=${n === at ? "point chosen" : "point"}>
      <circle cx=${one[0]} cy=${-one[1]} r=${7 / scale} />
      <rect x=${one[0] - reach / 2} y=${-one[1] - reach / 2} width=${reach} height=${reach} tabindex="0" role="button"
        aria-label=${`Point ${n + 1} of ${points.length}: ${length(-one[0], unit)} back from the tip, ${length(one[1], unit)} across`} aria-pressed=${n === at ? "true" : "false"}
        onPointerDown=${(/** @type {PointerEvent} */ event) => down(n, event)} onPointerMove=${drag} onPointerUp=${up} onPointerCancel=${up}
        onKeyDown=${(/** @type {KeyboardEvent} */ event) => key(n, event)} onFocus=${() => setAt(n)} />
    </g>`)}
  </svg>`;
}
