// @ts-check
// What the notes are while a tongue is being moved: at once an estimate from how each note follows each length, then
// the model's word. One question is under way at a time, and always the latest.

import { ask } from "./talk.js";

/** @typedef {{by: string, hz: number[], clarity: number[], shared_with: string[][], slopes?: number[][] | null}} Sound */

/** The notes with other lengths, from the slopes of a sound known. @param {Sound} sound @param {number[]} from
 * @param {number[]} to @returns {Sound} */
export function estimate(sound, from, to) {
  const growth = to.map((mm, at) => Math.log(mm / from[at]));
  const hz = sound.hz.map((one, row) => {
    const moved = (sound.slopes?.[row] ?? []).reduce((sum, slope, at) => sum + slope * growth[at], 0);
    return one * 2 ** (moved / 1200);
  });
  return { ...sound, by: "estimate", hz };
}

/** Asks for the notes of lengths that are not written yet. */
export class Live {
  /** @param {string} address @param {(sound: Sound, lengths: number[]) => void} heard */
  constructor(address, heard) {
    this.address = address;
    this.heard = heard;
    /** @type {number[] | null} */
    this.next = null;
    this.under = false;
  }

  /** @param {number[]} lengths */
  async ask(lengths) {
    this.next = lengths;
    if (this.under) return;
    this.under = true;
    try {
      while (this.next) {
        const asked = this.next;
        this.next = null;
        const { sound } = await ask(`${this.address}/pitch`, { lengths_mm: asked });
        if (sound) this.heard(sound, asked);
      }
    } catch {
      // the estimate stands; what is wrong is said when the length is written
    } finally {
      this.under = false;
    }
  }
}

/** What each kind of answer is called. */
export const BY = {
  estimate: "estimate",
  tables: "model",
  "full solve": "confirmed",
};

export const BY_WORDS = {
  estimate: "An estimate, from how the notes moved so far.",
  tables: "The model's word, from its tables.",
  "full solve": "Confirmed by a solve of the whole drum and the air in it.",
};
