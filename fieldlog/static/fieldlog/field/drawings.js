// Drawings beside questions, by the names that the kinds of reading give them.

import { drawn } from "./sketch.js";

const line = (d) => drawn("path", { class: "draw-line", d });
const fill = (d) => drawn("path", { class: "draw-fill", d });
const wash = (d) => drawn("path", { class: "draw-wash", d });

// Every drawing is 100 wide and 60 high.
const DRAWINGS = {};

// An SVG, or null where there is no drawing of that name.
export function drawing(name, className) {
  if (!name || !(name in DRAWINGS)) return null;
  return drawn("svg", { class: className, viewBox: "0 0 100 60", "aria-hidden": "true" }, ...DRAWINGS[name]({ line, fill, wash }));
}
