// @ts-check
// The views of a drum, in the order they are shown.

import { Top } from "./top.js";

/** @type {Array<{name: string, words: string, view: any}>} */
export const VIEWS = [{ name: "top", words: "The top", view: Top }];
