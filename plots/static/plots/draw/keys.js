// Drawing by the keyboard: on a corner, and on the map as a whole.

import { rounded } from "./shape.js";
import { M_A_DEGREE } from "../units.js";

const STEP_M = 0.5; // an arrow key's
const LONG_STEP_M = 5; // with Shift
const ARROWS = { ArrowUp: [0, 1], ArrowDown: [0, -1], ArrowLeft: [-1, 0], ArrowRight: [1, 0] };

// { push: (position) => position } for an arrow key, { onward } for Tab, null for what means nothing on a corner.
export function cornerKey({ key, shiftKey, ctrlKey, metaKey }) {
  if (ctrlKey || metaKey) return null;
  if (key === "Tab") return { onward: !shiftKey };
  const way = ARROWS[key];
  return way ? { push: (position) => pushed(position, way, shiftKey ? LONG_STEP_M : STEP_M) } : null;
}

function pushed([lon, lat], [east, north], step_m) {
  const across = M_A_DEGREE * Math.cos((lat * Math.PI) / 180);
  return rounded([lon + (east * step_m) / across, lat + (north * step_m) / M_A_DEGREE]);
}

// What the key does to the drawing, null for nothing. Undo and redo go wherever the focus is, but not while typing.
export function pageKey(drawing, { target, key, shiftKey, ctrlKey, metaKey }) {
  const box = drawing.map.getContainer();
  if (target.closest?.("input:not([type=checkbox]), textarea, select")) return null;
  if (ctrlKey || metaKey) {
    const letter = key.toLowerCase();
    if (letter === "y" || (letter === "z" && shiftKey)) return () => drawing.redo();
    return letter === "z" ? () => drawing.undo() : null;
  }
  if (!box.contains(target)) return null;
  if (key === "Delete" || key === "Backspace") return () => drawing.removeCorner();
  if (key === "Escape") return () => drawing.leave();
  return key === "Enter" && target === box ? () => drawing.addHere() : null;
}
