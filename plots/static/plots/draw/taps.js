// What a tap on the map means to a shape.

import * as shapes from "./shape.js";

const SENTENCES = {
  outsidePart: "A hole lies inside the plot. Put its corners on the plot's ground.",
  noEdge: "Tap a corner to move it, or an edge to put a corner in.",
};

// { shape, selected } after the tap, with `begun`, the place of the ring that it began; or { sentence } that says why
// there is none; or nothing.
//
// `position` is where a corner would go and `point` where the tap was, in the pixels of project(position); `edge` is how
// many of them from an edge still mean the edge. `selected` is the chosen corner, `stays` whether it is chosen still when
// it has moved, `pending` what the next corner begins: "part", "hole" or null.
export function tapped(shape, { position, point, project, edge, selected, stays, pending }) {
  if (shapes.hasCorner(shape, selected)) return { shape: shapes.withMoved(shape, selected, position), selected: stays ? selected : null };
  if (shape.kind === "point" && shape.parts.length) {
    return { shape: shapes.withMoved(shape, { part: 0, ring: 0, corner: 0 }, position), selected: null };
  }
  const open = shapes.openPlace(shape);
  if (open) return onward(shape, open, position);
  if (shape.kind !== "area" || pending === "part" || !shape.parts.length) return begun(shape, null, position);
  if (pending === "hole") {
    const part = shapes.partUnder(shape, position);
    return part === null ? { sentence: SENTENCES.outsidePart } : begun(shape, part, position);
  }
  return onEdge(shape, position, { point, project, edge });
}

function begun(shape, part, position) {
  const after = shapes.withRing(shape, part, [position]);
  return { shape: after, selected: null, begun: shapes.openPlace(after) };
}

function onward(shape, place, position) {
  if (place.ring > 0 && !shapes.isInside(shape.parts[place.part][0].corners, position)) return { sentence: SENTENCES.outsidePart };
  const { corners } = shapes.ringAt(shape, place);
  if (shapes.isSame(corners.at(-1), position)) return {};
  return { shape: shapes.withCorners(shape, place, corners.length, [position]), selected: null };
}

// In the edge that is nearest to the tap, of any ring.
function onEdge(shape, position, { point, project, edge }) {
  let best = null;
  for (const place of shapes.ringPlaces(shape)) {
    const along = shapes.ringAt(shape, place).corners.map(project);
    along.forEach((to, i) => {
      const { away } = shapes.nearestOn(along.at(i - 1), to, point);
      if (away <= edge && away < (best?.away ?? Infinity)) best = { away, place: { ...place, corner: i === 0 ? along.length : i } };
    });
  }
  if (!best) return { sentence: SENTENCES.noEdge };
  return { shape: shapes.withCorners(shape, best.place, best.place.corner, [position]), selected: best.place };
}
