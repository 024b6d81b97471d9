// @ts-check
// Sounding the drum: buffers that the program has made, played at once when a tongue is pressed.
// The sounds are the program's own, made from its model; nothing here shapes them but their loudness.

import { answerOf } from "./talk.js";

const MASTER = 0.6;
/** Between soft and firm strokes, in m/s: from where on the firm sound is used. */
const FIRM_FROM = 0.9;

/** @typedef {{x_mm: number, y_mm: number, tongue: number | null, along: number | null, sounds: number[][]}} Place */
/** @typedef {{rate_hz: number, mallet: string, on: string, speeds_m_s: number[], places: Place[], revision: number,
 *   samples: Float32Array}} Sounds */

/** The sounds of a drum for a mallet, and for what the drum is on.
 * @param {string} address @param {string} mallet @param {string} [on] @returns {Promise<Sounds>} */
export async function fetchSounds(address, mallet, on = "nothing") {
  const answer = await answerOf(`${address}/strikes`, { mallet, on });
  const whole = await answer.arrayBuffer();
  const size = new DataView(whole).getUint32(0, true);
  const head = JSON.parse(new TextDecoder().decode(new Uint8Array(whole, 4, size)));
  const samples = Float32Array.from(new Int16Array(whole.slice(4 + size)), (one) => one / 32768);
  return { ...head, samples };
}

/** Of the places of a tongue the nearest to where it was pressed. @param {Sounds} sounds @param {number} tongue
 * @param {number} along */
export function placeOn(sounds, tongue, along) {
  const own = sounds.places.filter((one) => one.tongue === tongue);
  return own.reduce((best, one) => (Math.abs((one.along ?? 0) - along) < Math.abs((best.along ?? 0) - along) ? one : best));
}

/** Of the places beside the tongues the nearest; undefined where none was made. @param {Sounds} sounds
 * @param {number} x @param {number} y */
export function placeBeside(sounds, x, y) {
  const beside = sounds.places.filter((one) => one.tongue === null);
  const far = (/** @type {Place} */ one) => Math.hypot(one.x_mm - x, one.y_mm - y);
  return beside.reduce((/** @type {Place | undefined} */ best, one) => (!best || far(one) < far(best) ? one : best), undefined);
}

/** Plays sounds in a context, which may be one that renders into a file.  */
export class Player {
  /** @param {BaseAudioContext} context @param {Sounds} sounds */
  constructor(context, sounds) {
    this.context = context;
    this.sounds = sounds;
    this.out = new GainNode(context, { gain: MASTER });
    this.out.connect(context.destination);
    /** @type {Map<number, AudioBuffer>} */
    this.buffers = new Map();
    for (const place of sounds.places) for (const [at, count] of place.sounds) this.buffer(at, count);
  }

  /** @param {number} at @param {number} count */
  buffer(at, count) {
    let made = this.buffers.get(at);
    if (!made) {
      made = new AudioBuffer({ length: count, numberOfChannels: 1, sampleRate: this.sounds.rate_hz });
      made.copyToChannel(/** @type {any} */ (this.sounds.samples.subarray(at, at + count)), 0);
      this.buffers.set(at, made);
    }
    return made;
  }

  /** Strike a place. Many may sound at once. @param {Place} place @param {number} speed In m/s. @param {number} [when] */
  strike(place, speed, when = 0) {
    const firm = speed >= FIRM_FROM ? this.sounds.speeds_m_s.length - 1 : 0;
    const [at, count] = place.sounds[firm];
    const source = new AudioBufferSourceNode(this.context, { buffer: this.buffer(at, count) });
    const loud = new GainNode(this.context, { gain: speed / this.sounds.speeds_m_s[firm] });
    source.connect(loud).connect(this.out);
    source.start(when);
    return source;
  }

  /** Play a phrase: seconds, tongue, speed. @param {number[][]} played @param {number} from */
  phrase(played, from) {
    for (const [at, tongue, speed] of played) this.strike(placeOn(this.sounds, tongue, 1), speed, from + at);
  }
}

/** A plain tone, to hear a note before there is a drum. @param {AudioContext} context @param {number} hz
 * @param {number} when */
export function plainTone(context, hz, when) {
  const loud = new GainNode(context, { gain: 0 });
  loud.gain.setValueAtTime(0, when);
  loud.gain.linearRampToValueAtTime(0.25, when + 0.008);
  loud.gain.exponentialRampToValueAtTime(0.0005, when + 0.9);
  const tone = new OscillatorNode(context, { frequency: hz });
  tone.connect(loud).connect(context.destination);
  tone.start(when);
  tone.stop(when + 1);
}
