// @ts-check
// The top in plan, at scale, drawn from the lines of the drum so that it follows a finger. On a narrow screen the
// board stands upright. Lengths in mm; x along the board, y across it from the front edge, which is drawn below.

import { html, useLayoutEffect, useMemo, useRef, useState } from "./vendor/preact-htm.js";
import { cents, centsBetween, length, step } from "./lengths.js";
import { BY } from "./live.js";

const TOUCH_PX = 44;
const EDGE_MM = 14;
const EDGE_STEPS = 24;
const NARROW = "(max-width: 700px)";

/** Whether the screen is narrow, also after it is turned. */
export function useNarrow() {
  const [narrow, setNarrow] = useState(() => matchMedia(NARROW).matches);
  useLayoutEffect(() => {
    const query = matchMedia(NARROW);
    const turned = () => setNarrow(query.matches);
    query.addEventListener("change", turned);
    return () => query.removeEventListener("change", turned);
  }, []);
  return narrow;
}

/** How long a tongue is drawn. @param {any} tongue */
export function shown(tongue) {
  return tongue.length_mm ?? tongue.guess_mm;
}

/** The y at x of the line that lies `off` behind the middle of a slot: an arc through its two ends where it bows.
 * @param {any} lines @param {number} slot @param {number} off @param {number} x */
function besideSlot(lines, slot, off, x) {
  const bow = lines.bows_mm[slot] ?? 0;
  if (!bow) return lines.slot_ys_mm[slot] + off;
  const way = Math.sign(bow);
  const half = (lines.root_right_mm - lines.root_left_mm) / 2;
  const radius = (half ** 2 + bow ** 2) / (2 * Math.abs(bow)) + way * off;
  const along = x - (lines.root_left_mm + lines.root_right_mm) / 2;
  return lines.slot_ys_mm[slot] + bow + off - (way * along ** 2) / (radius + Math.sqrt(Math.max(radius ** 2 - along ** 2, 0)));
}

/** That line from one x to another. @param {any} lines @param {number} slot @param {number} off @param {number} from
 * @param {number} to */
function edge(lines, slot, off, from, to) {
  const steps = lines.bows_mm[slot] ? EDGE_STEPS : 1;
  return Array.from({ length: steps + 1 }, (_, n) => {
    const x = from + ((to - from) * n) / steps;
    return [x, besideSlot(lines, slot, off, x)];
  });
}

/** The corners of a tongue. @param {any} drum @param {any} tongue @param {number} mm */
export function tongueShape(drum, tongue, mm) {
  const lines = drum.lines;
  const way = tongue.side === "left" ? 1 : -1;
  const root = tongue.side === "left" ? lines.root_left_mm : lines.root_right_mm;
  const half = lines.tongue_width_mm / 2;
  const kerf = drum.slots.kerf_mm / 2;
  const ends = tongue.tip_mm ?? lines.tips_mm[tongue.side];
  const deepest = Math.max(...ends.map((/** @type {number[]} */ one) => -one[0]), 1);
  const squash = Math.min(1, (0.8 * mm) / deepest);
  // An end is drawn as wide as the row is where it begins and where it finishes.
  const [first, last] = [ends[0], ends[ends.length - 1]].map((one) => root + way * (mm + one[0] * squash));
  const front = besideSlot(lines, tongue.row - 1, kerf, first);
  const back = besideSlot(lines, tongue.row, -kerf, last);
  const y = (front + back) / 2;
  const tip = ends.map((/** @type {number[]} */ [along, across]) => [
    root + way * (mm + along * squash),
    y + (across * (back - front)) / (2 * half),
  ]);
  const sides = [edge(lines, tongue.row - 1, kerf, root, first), edge(lines, tongue.row, -kerf, last, root)];
  return { points: [...sides[0].slice(0, -1), ...tip, ...sides[1].slice(1)], tip: root + way * mm, root, y, way, half };
}

/** @param {number[][]} points */
const path = (points) => points.map((one) => one.map((value) => value.toFixed(2)).join(",")).join(" ");

/** The furthest a tip may go before it meets what faces it. @param {any} drum @param {number} number
 * @param {number[]} lengths */
export function longest(drum, number, lengths) {
  const tongue = drum.tongues[number];
  const span = drum.lines.root_right_mm - drum.lines.root_left_mm - drum.slots.kerf_mm;
  const facing = drum.tongues.findIndex(
    (/** @type {any} */ other) => other !== tongue && other.row === tongue.row && other.side !== tongue.side,
  );
  return facing < 0 ? span : span - lengths[facing];
}

/** Grain lines of the board, always the same for the same board: straight where it is quartersawn, arches of the
 * growth rings where it is flatsawn. @param {any} drum */
function grain(drum) {
  const { length_mm: long, width_mm: wide, cut, grain_angle_deg: angle } = drum.top;
  const lines = [];
  let seed = 7;
  const chance = () => (seed = (seed * 16807) % 2147483647) / 2147483647;
  const spot = (/** @type {number} */ x, /** @type {number} */ y) => `${x.toFixed(1)} ${y.toFixed(1)}`;
  if (cut === "quartersawn") {
    for (let y = -wide; y < 2 * wide; y += 5 * (0.6 + 0.8 * chance())) lines.push(`M${spot(-long, y)}Q${spot(long / 2, y + 0.6 * chance())} ${spot(2 * long, y)}`);
  } else {
    const middle = wide * 0.46;
    for (let half = 4, at = 0.86; half < 2 * wide; half += 7 + 7 * chance(), at -= 0.13 + 0.1 * chance()) {
      const apex = long * at;
      const sway = 0.06 * half * (chance() - 0.5);
      for (const way of [-1, 1]) {
        const y = middle + way * half;
        lines.push(`M${spot(apex, middle + sway)}C${spot(apex, middle + way * half * 0.6)} ${spot(apex + 0.16 * long, y * 0.94 + 0.06 * middle)} ${spot(apex + 0.5 * long, y)}L${spot(3 * long, y + way * 9)}`);
      }
    }
  }
  return html`<path class="grain" d=${lines.join("")} transform="rotate(${-angle} ${long / 2} ${wide / 2})" />`;
}

/** The whole plan.
 * @param {{drum: any, lengths: number[], sound: any, chosen: number, unit: any, choose: Function, drag?: Function,
 *   drop?: Function, press?: Function, glow?: Set<number>, marks?: any}} props */
export function Plan(props) {
  const { drum, lengths } = props;
  const narrow = useNarrow();
  const svg = useRef(/** @type {any} */ (null));
  const [scale, setScale] = useState(1);
  const { length_mm: long, width_mm: wide } = drum.top;
  const lines = drum.lines;
  const strokes = useMemo(() => grain(drum), [long, wide, drum.top.cut, drum.top.grain_angle_deg]);
  useLayoutEffect(() => {
    const measure = () => {
      const box = svg.current?.getBoundingClientRect();
      const [across, down] = narrow ? [wide, long] : [long, wide];
      if (box?.width) setScale(Math.min(box.width / (across + 2 * EDGE_MM), box.height / (down + 2 * EDGE_MM)));
    };
    measure();
    const watch = new ResizeObserver(measure);
    watch.observe(svg.current);
    return () => watch.disconnect();
  }, [narrow, long, wide]);
  const box = narrow
    ? `${-EDGE_MM} ${-EDGE_MM} ${wide + 2 * EDGE_MM} ${long + 2 * EDGE_MM}`
    : `${-EDGE_MM} ${-EDGE_MM} ${long + 2 * EDGE_MM} ${wide + 2 * EDGE_MM}`;
  // Upright: the left end is above; flat: the front edge is below.
  const turn = narrow ? `matrix(0 1 1 0 0 0)` : `matrix(1 0 0 -1 0 ${wide})`;
  const held = narrow ? "matrix(0 1 1 0 0 0)" : "matrix(1 0 0 -1 0 0)";
  const shapes = lines ? drum.tongues.map((/** @type {any} */ t, /** @type {number} */ n) => tongueShape(drum, t, lengths[n])) : [];
  const wall = drum.seat_mm;
  return html`<svg ref=${svg} class="plan" viewBox=${box} role="group" aria-label="The top, seen from above">
    <defs>
      <clipPath id="board"><rect width=${long} height=${wide} rx="2" /></clipPath>
      ${lines &&
      html`<clipPath id="rows"><rect x=${lines.root_left_mm} y="0" width=${lines.root_right_mm - lines.root_left_mm} height=${wide} /></clipPath>`}
    </defs>
    <g transform=${turn} class="board-turn">
      <g clip-path="url(#board)">
        <rect class="board" width=${long} height=${wide} />
        <rect class="walls" x=${wall.end} y=${wall.side} width=${long - 2 * wall.end} height=${wide - 2 * wall.side} />
        ${lines && html`<${Slots} drum=${drum} shapes=${shapes} />`}
        ${shapes.map((/** @type {any} */ shape, /** @type {number} */ n) => html`<${Face} key=${n} n=${n} shape=${shape} props=${props} />`)}
        ${strokes}
        ${drum.top.knots_mm.map((/** @type {number[]} */ [x, y, across]) => html`<circle class="knot" cx=${x} cy=${y} r=${across / 2} />`)}
        ${drum.bores.map((/** @type {number[]} */ [x, y, across]) => html`<circle class="bore" cx=${x} cy=${y} r=${across / 2} />`)}
      </g>
      ${props.marks}
      ${shapes.map((/** @type {any} */ shape, /** @type {number} */ n) => html`<${Words} key=${n} n=${n} shape=${shape} held=${held} props=${props} scale=${scale} />`)}
      ${props.drag &&
      shapes.map((/** @type {any} */ shape, /** @type {number} */ n) => html`<${Grip} key=${n} n=${n} shape=${shape} props=${props} scale=${scale} />`)}
    </g>
  </svg>`;
}

/** The saw's way: whole strips where two tongues share a row, a kerf all round one that is alone. */
function Slots({ drum, shapes }) {
  const { lines, slots } = drum;
  const kerf = slots.kerf_mm;
  const rows = lines.slot_ys_mm.length - 1;
  const made = [];
  for (let row = 1; row <= rows; row += 1) {
    const inside = drum.tongues.flatMap((/** @type {any} */ t, /** @type {number} */ n) => (t.row === row ? [n] : []));
    if (inside.length > 1) {
      const { root_left_mm: left, root_right_mm: right } = lines;
      const strip = [...edge(lines, row - 1, -kerf / 2, left, right), ...edge(lines, row, kerf / 2, right, left)];
      made.push(html`<polygon class="gone" points=${path(strip)} />`);
    }
    for (const n of inside.length === 1 ? inside : []) {
      made.push(html`<polygon class="gone" clip-path="url(#rows)" points=${path(shapes[n].points)} stroke-width=${2 * kerf} />`);
    }
  }
  const hole = slots.stop_hole_mm > kerf ? slots.stop_hole_mm / 2 : 0;
  const holes = hole
    ? lines.slot_ys_mm.flatMap((/** @type {number} */ y) =>
        [lines.root_left_mm, lines.root_right_mm].map((x) => html`<circle class="gone" cx=${x} cy=${y} r=${hole} />`),
      )
    : null;
  return html`<g>${made}${holes}</g>`;
}

/** One tongue's wood. */
function Face({ n, shape, props }) {
  const { drum, chosen, glow, press, choose } = props;
  const names = ["tongue"];
  if (n === chosen) names.push("chosen");
  if (glow?.has(n)) names.push("glow");
  if (drum.tongues[n].length_mm === null) names.push("guessed");
  if (drum.problems.some((/** @type {any} */ one) => one.at?.[0] === "tongues" && one.at[1] === n)) names.push("wrong");
  const pressed = press ? { onPointerDown: (/** @type {PointerEvent} */ event) => press(n, event) } : { onClick: () => choose(n) };
  return html`<polygon class=${names.join(" ")} points=${path(shape.points)} ...${pressed} />`;
}

/** Note and cents upon a tongue, upright however the board is turned. */
function Words({ n, shape, held, props, scale }) {
  const { drum, sound, glow } = props;
  const tongue = drum.tongues[n];
  const size = Math.min(1.1 * shape.half, 22 / scale);
  const x = (shape.root + shape.tip) / 2 - shape.way * Math.min(18 / scale, 0.1 * Math.abs(shape.tip - shape.root));
  const hz = sound?.hz?.[n];
  const off = hz ? centsBetween(hz, tongue.aim_hz) : null;
  const near = off !== null && Math.abs(off) <= drum.tuning.tolerance_cents;
  return html`<g class=${`words${glow?.has(n) ? " glow" : ""}`} transform="translate(${x} ${shape.y}) ${held}" font-size=${size} aria-hidden="true">
    <text dy=${props.drag ? "-0.1em" : "0.35em"}>${tongue.note}</text>
    ${props.drag && html`<text class=${near ? "near" : "off"} dy="1em" font-size=${0.8 * size}>${off === null ? "–" : cents(off)}</text>`}
  </g>`;
}

/** What is taken hold of at a tip. */
function Grip({ n, shape, props, scale }) {
  const { drum, lengths, sound, unit, choose, drag, drop } = props;
  const tongue = drum.tongues[n];
  const reach = Math.max(TOUCH_PX / scale, 12);
  const across = Math.max(2 * shape.half, TOUCH_PX / scale);
  const start = useRef(/** @type {any} */ (null));
  const along = (/** @type {PointerEvent} */ event) => {
    const turned = /** @type {any} */ (event.currentTarget).ownerSVGElement.querySelector(".board-turn").getScreenCTM();
    return new DOMPoint(event.clientX, event.clientY).matrixTransform(turned.inverse()).x;
  };
  const most = longest(drum, n, lengths);
  const mark = step(drum.units);
  const within = (/** @type {number} */ mm) => Math.min(Math.max(mm, drum.shortest_mm), Math.max(most, drum.shortest_mm));
  const down = (/** @type {PointerEvent} */ event) => {
    /** @type {any} */ (event.currentTarget).setPointerCapture(event.pointerId);
    start.current = { x: along(event), mm: lengths[n] };
    choose(n);
  };
  const move = (/** @type {PointerEvent} */ event) => {
    if (start.current) drag(n, within(mark * Math.round((start.current.mm + shape.way * (along(event) - start.current.x)) / mark)));
  };
  const up = () => {
    if (start.current) drop(n);
    start.current = null;
  };
  const key = (/** @type {KeyboardEvent} */ event) => {
    const longer = ["ArrowRight", "ArrowUp"].includes(event.key);
    if (!longer && !["ArrowLeft", "ArrowDown"].includes(event.key)) return;
    event.preventDefault();
    choose(n);
    drag(n, within(lengths[n] + (longer ? 1 : -1) * step(unit) * (event.shiftKey ? 10 : 1)), true);
  };
  const hz = sound?.hz?.[n];
  const words = `${length(lengths[n], unit)}${hz ? `, ${cents(centsBetween(hz, tongue.aim_hz))} cents, ${BY[sound.by]}` : ""}`;
  const x = shape.way > 0 ? shape.tip - 0.7 * reach : shape.tip - 0.3 * reach;
  return html`<g class="grip">
    <rect x=${x} y=${shape.y - across / 2} width=${reach} height=${across} role="slider" tabindex="0"
      aria-label=${`Tip of ${tongue.note}`} aria-valuemin=${drum.shortest_mm} aria-valuemax=${most.toFixed(1)}
      aria-valuenow=${lengths[n].toFixed(2)} aria-valuetext=${words}
      onPointerDown=${down} onPointerMove=${move} onPointerUp=${up} onPointerCancel=${up} onKeyDown=${key} onFocus=${() => choose(n)} />
    <path class="mark" d="M${shape.tip - shape.way * 9} ${shape.y - 7}v14m${shape.way * 4} -14v14" />
  </g>`;
}
