// @ts-check
// Lengths as the maker reads and types them: millimetres, or inches in sixty-fourths. Everything else is in mm.

export const MM_PER_INCH = 25.4;
const PARTS = 64;

/** @typedef {"mm" | "in"} Unit */

/** The nearest fraction of an inch on a rule, such as 10 9/32. @param {number} mm */
export function fraction(mm) {
  const parts = Math.round((Math.abs(mm) / MM_PER_INCH) * PARTS);
  const whole = Math.floor(parts / PARTS);
  let top = parts % PARTS;
  let under = PARTS;
  while (top && top % 2 === 0) {
    top /= 2;
    under /= 2;
  }
  const sign = mm < 0 && parts ? "-" : "";
  if (!top) return `${sign}${whole}`;
  return whole ? `${sign}${whole} ${top}/${under}` : `${sign}${top}/${under}`;
}

/** A length without its unit. @param {number | null | undefined} mm @param {Unit} unit @param {number} [digits] */
export function plain(mm, unit, digits = 1) {
  if (mm === null || mm === undefined) return "";
  return unit === "in" ? fraction(mm) : String(Number(mm.toFixed(digits)));
}

/** A length with its unit. @param {number | null | undefined} mm @param {Unit} unit */
export function length(mm, unit) {
  return mm === null || mm === undefined ? "not known yet" : `${plain(mm, unit)} ${unit}`;
}

/** By how much an arrow key moves. @param {Unit} unit */
export function step(unit) {
  return unit === "in" ? MM_PER_INCH / PARTS : 0.1;
}

/** Cents with their sign. @param {number} cents */
export function cents(cents) {
  const whole = Math.abs(cents) < 10 ? cents.toFixed(1) : String(Math.round(cents));
  const text = Number(whole) === 0 ? "0" : whole;
  return `${cents > 0 && text !== "0" ? "+" : ""}${text}`.replace("-", "−");
}

/** How far one pitch is above another. @param {number} hz @param {number} from */
export function centsBetween(hz, from) {
  return 1200 * Math.log2(hz / from);
}

/** The unit that the maker last chose, or the drum's own. @param {Unit} own @returns {Unit} */
export function chosenUnit(own) {
  const kept = localStorage.getItem("unit");
  return kept === "mm" || kept === "in" ? kept : own;
}

/** Keep the unit chosen. @param {Unit} unit */
export function keepUnit(unit) {
  localStorage.setItem("unit", unit);
}
