// @ts-check
// A tongue being moved: lengths that are not written yet, and what the notes are meanwhile.

import { useEffect, useMemo, useRef, useState } from "./vendor/preact-htm.js";
import { cents, centsBetween } from "./lengths.js";
import { BY, Live, estimate } from "./live.js";
import { shown } from "./plan.js";
import { say } from "./talk.js";

const KEY_PAUSE_MS = 400;

/** The lengths and the sound to show, and how to move a tip.
 * @param {import("./talk.js").Talk} talk */
export function useMoving(talk) {
  const { drum, sound, revision } = talk.state;
  const written = useMemo(() => drum.tongues.map(shown), [drum]);
  const [moved, setMoved] = useState(/** @type {Record<number, number>} */ ({}));
  const [heard, setHeard] = useState(/** @type {any} */ (null));
  const pause = useRef(0);
  const latest = useRef(/** @type {any} */ ({}));
  const live = useMemo(
    () =>
      new Live(talk.address, (said, asked) => {
        const now = latest.current;
        setHeard({ sound: { ...said, slopes: said.slopes ?? now.base?.slopes }, lengths: asked });
      }),
    [talk.address],
  );
  // What was last said of the drum itself, with the lengths it was said of.
  const base = useRef(/** @type {any} */ (null));
  if (sound && (base.current?.sound !== sound) && sound.revision === revision) {
    base.current = { sound: { ...sound, slopes: sound.slopes ?? base.current?.sound.slopes }, lengths: written };
  }
  const lengths = written.map((/** @type {number} */ mm, /** @type {number} */ n) => moved[n] ?? mm);
  latest.current = { base: base.current?.sound };
  const same = (/** @type {number[]} */ one) => one.length === lengths.length && one.every((mm, n) => Math.abs(mm - lengths[n]) < 1e-6);

  let now = /** @type {any} */ (null);
  if (base.current && same(base.current.lengths) && base.current.sound.revision === revision) now = base.current.sound;
  else if (heard && same(heard.lengths)) now = heard.sound;
  else {
    const from = heard ?? base.current;
    if (from?.lengths.length === lengths.length && from.sound.slopes) now = estimate(from.sound, from.lengths, lengths);
  }

  useEffect(() => {
    setMoved({});
    setHeard(null);
  }, [revision]);

  const write = async (/** @type {number} */ n, /** @type {number} */ mm) => {
    const taken = await talk.change({ do: "set", at: ["tongues", n, "length"], mm });
    if (!taken) setMoved({}); // refused: the drum shows what it is
  };

  const drag = (/** @type {number} */ n, /** @type {number} */ mm, byKey = false) => {
    const next = lengths.map((/** @type {number} */ old, /** @type {number} */ at) => (at === n ? mm : old));
    setMoved({ ...moved, [n]: mm });
    latest.current.mm = mm;
    pending.current = { n, mm };
    live.ask(next);
    clearTimeout(pause.current);
    if (byKey) pause.current = setTimeout(() => drop(n), KEY_PAUSE_MS);
  };
  const pending = useRef(/** @type {any} */ (null));
  const drop = (/** @type {number} */ n) => {
    const last = pending.current;
    pending.current = null;
    if (last?.n === n) write(n, last.mm);
  };

  const spoken = useRef("");
  useEffect(() => {
    if (!now) return;
    const words = drum.tongues
      .map((/** @type {any} */ t, /** @type {number} */ n) => `${t.note} ${cents(centsBetween(now.hz[n], t.aim_hz))}`)
      .join(", ");
    const whole = `${BY[now.by]}: ${words} cents`;
    if (spoken.current && spoken.current !== whole) say(whole);
    spoken.current = whole;
  }, [now?.by, revision, now?.hz?.join()]);

  return { lengths, sound: now, drag, drop, moving: Object.keys(moved).length > 0 };
}
