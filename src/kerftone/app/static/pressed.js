// @ts-check
// A button whose work takes a while: it is pressed, what is being worked out shows, and what was refused is said.

import { html, useState } from "./vendor/preact-htm.js";
import { Doing } from "./fields.js";
import { ask } from "./talk.js";

/** `press` does some work once at a time; `busy` while it is done; `doing` shows the task of this kind that it waits for.
 * @param {import("./talk.js").Talk} talk @param {string} kind */
export function usePress(talk, kind) {
  const [busy, setBusy] = useState(false);
  const task = talk.task(kind);
  const press = async (/** @type {() => Promise<any>} */ work) => {
    setBusy(true);
    try {
      await work();
    } catch (error) {
      talk.refuse(error);
      scrollTo(0, 0);
    } finally {
      setBusy(false);
    }
  };
  const open = busy && task && ["waiting", "running"].includes(task.state);
  return { busy, press, doing: open && html`<${Doing} task=${task} stop=${() => ask(`/api/task/${task.number}/stop`, {})} />` };
}
