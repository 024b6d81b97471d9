// @ts-check
// Talking to the server: sending, polling, and saying aloud what has changed.

const POLL_MS = 250;
const AWAY_MS = 1000;

/** What the server refused, with its remedies. */
export class Refusal extends Error {
  /** @param {any} error */
  constructor(error) {
    super(error?.message ?? "That did not work.");
    this.error = error ?? {};
  }
}

/** Ask the server. Without a body it is only read. @param {string} address @param {object} [body] */
export async function ask(address, body) {
  const answer = await answerOf(address, body);
  return answer.json();
}

/** The same for anything but JSON. @param {string} address @param {object} [body] @returns {Promise<Response>} */
export async function answerOf(address, body) {
  const sound = body instanceof Blob;
  const type = sound ? "application/octet-stream" : "application/json";
  const how = body && { method: "POST", headers: { "Content-Type": type }, body: sound ? body : JSON.stringify(body) };
  let answer;
  try {
    answer = await fetch(address, how || undefined);
  } catch {
    throw new Refusal({ message: "Kerftone does not answer. Is it still running on this computer?", away: true });
  }
  if (!answer.ok) {
    const told = await answer.json().catch(() => ({}));
    throw new Refusal(told.error);
  }
  return answer;
}

/** Whatever went wrong, as a refusal. @param {unknown} error */
export function refusal(error) {
  if (error instanceof Refusal) return error;
  return new Refusal({ message: `Something went wrong in the page, which is its fault: ${error}` });
}

let saying = 0;

/** Say something to who listens to the page. @param {string} words */
export function say(words) {
  const place = document.getElementById("say");
  if (!place) return;
  clearTimeout(saying);
  saying = setTimeout(() => {
    place.textContent = words;
  }, 150);
}

/** One drum, kept in step with the server: asked four times a second, also after sleep. */
export class Talk {
  /** @param {string} address */
  constructor(address) {
    this.address = address;
    /** @type {any} */
    this.state = { drum: null, sound: null, tasks: [], revision: -1 };
    /** @type {Refusal | null} */
    this.trouble = null;
    this.away = false;
    /** @type {Set<() => void>} */
    this.listeners = new Set();
    this.busy = 0;
    /** The phrase that was played and kept: seconds, tongue, speed. @type {number[][]} */
    this.kept = [];
    this.poll();
    document.addEventListener("visibilitychange", () => document.hidden || this.refresh());
  }

  tell() {
    for (const listener of this.listeners) listener();
  }

  async poll() {
    if (!this.busy) await this.refresh();
    setTimeout(() => this.poll(), this.away ? AWAY_MS : POLL_MS);
  }

  async refresh() {
    const before = JSON.stringify([this.state.revision, this.state.sound, this.state.tasks, this.away]);
    try {
      const now = await ask(`${this.address}?seen=${this.state.revision}`);
      this.away = false;
      if (now.revision >= this.state.revision || now.drum !== undefined) this.take(now);
    } catch (error) {
      const refused = refusal(error);
      this.away = Boolean(refused.error.away);
      if (!this.away) this.trouble = refused;
    }
    if (before !== JSON.stringify([this.state.revision, this.state.sound, this.state.tasks, this.away])) this.tell();
  }

  /** @param {any} now */
  take(now) {
    if (now.drum !== undefined && this.state.revision > 0 && now.undo === "a change made outside this page") {
      if (now.revision > this.state.revision) say("The drum's file was changed outside this page.");
    }
    this.state = { ...this.state, ...now };
  }

  /** Send something that changes the drum; what is refused is shown. @param {string} what @param {object} [body] */
  async send(what, body = {}) {
    this.busy += 1;
    try {
      const now = await ask(`${this.address}/${what}`, body);
      this.trouble = null;
      if (now.revision !== undefined) this.take(now);
      return now;
    } catch (error) {
      this.trouble = refusal(error);
      say(this.trouble.message);
      return null;
    } finally {
      this.busy -= 1;
      this.tell();
    }
  }

  /** @param {object[]} changes */
  change(...changes) {
    return this.send("change", { changes });
  }

  /** The latest task of this kind. @param {string} kind */
  task(kind) {
    return this.state.tasks.findLast((/** @type {any} */ one) => one.kind === kind);
  }

  /** Show what was refused. @param {unknown} error */
  refuse(error) {
    this.trouble = refusal(error);
    this.tell();
  }

  forgive() {
    this.trouble = null;
    this.tell();
  }
}
