// @ts-check
// The views of a drum, in the order they are shown.

import { BoxAndPlan } from "./box.js";
import { Compare } from "./compare.js";
import { Hear } from "./hear.js";
import { Moves } from "./moves.js";
import { Top } from "./top.js";
import { Wood } from "./wood.js";

/** @type {Array<{name: string, words: string, view: any}>} */
export const VIEWS = [
  { name: "top", words: "The top", view: Top },
  { name: "hear", words: "Hear", view: Hear },
  { name: "moves", words: "Moves", view: Moves },
  { name: "wood", words: "Wood", view: Wood },
  { name: "compare", words: "Variants", view: Compare },
  { name: "box", words: "Box and plan", view: BoxAndPlan },
];
