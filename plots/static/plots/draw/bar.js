// The buttons of a drawing, those that fit its kind and what it is in the middle of.

import { isComplete, ringAt } from "./shape.js";

export function drawingBar(drawing) {
  const bar = element("div", { className: "draw-bar", role: "group", ariaLabel: "Drawing" });
  const said = element("p", { className: "draw-said", role: "status" });
  const isArea = drawing.kind === "area";
  const button = (text, act, className = "") => {
    const each = element("button", { type: "button", textContent: text, className });
    // A button that cannot be used stays where it is: one that vanished would take the keyboard's focus with it.
    each.addEventListener("click", () => each.ariaDisabled !== "true" && act());
    return each;
  };
  const here = button("Add corner here", () => drawing.addHere(), "draw-here");
  const close = button("Close the outline", () => drawing.close(), "draw-close");
  const remove = button("Remove corner", () => drawing.removeCorner());
  const undo = button("Undo", () => drawing.undo());
  const redo = button("Redo", () => drawing.redo());
  const follow = button("Follow the shared edge", () => drawing.followSharedEdge(), "draw-follow");
  const part = button("Add a part", () => drawing.begin("part"));
  const hole = button("Add a hole", () => drawing.begin("hole"));
  const removeRing = button("Remove hole", () => drawing.removeRing());
  const snap = element("input", { type: "checkbox", checked: drawing.isSnapping });
  snap.addEventListener("change", () => drawing.setSnapping(snap.checked));
  const snapping = element("label", { className: "choice draw-snap" });
  snapping.append(snap, "Snap to the plots beside it");

  const row = (...children) => {
    const each = element("div", { className: "draw-row" });
    each.append(...children.filter(Boolean));
    return each;
  };
  const isPoint = drawing.kind === "point";
  bar.append(
    said,
    row(here, isArea && close, drawing.canSnap && follow),
    row(undo, redo, !isPoint && remove),
    ...(isArea ? [row(part, hole, removeRing)] : []),
    ...(drawing.canSnap ? [snapping] : []),
  );

  const show = () => {
    const { openRing, pending, ring, selected, shape } = drawing;
    here.textContent = hereWords(drawing);
    const corners = openRing ? ringAt(shape, openRing).corners.length : 0;
    close.hidden = !openRing;
    close.textContent = openRing?.ring > 0 ? "Close the hole" : "Close the outline";
    can(close, corners >= 3);
    can(remove, Boolean(selected || openRing || (drawing.kind === "line" && shape.parts.length)));
    remove.textContent = selected || !(openRing || drawing.kind === "line") ? "Remove corner" : "Remove last corner";
    can(undo, drawing.canUndo);
    can(redo, drawing.canRedo);
    follow.hidden = !drawing.shared;
    const isWhole = isComplete(shape);
    for (const [each, what] of [[part, "part"], [hole, "hole"]]) {
      each.hidden = !isWhole;
      each.setAttribute("aria-pressed", String(pending === what));
    }
    removeRing.hidden = !isWhole || !ring || (ring.ring === 0 && shape.parts.length < 2);
    removeRing.textContent = ring?.ring > 0 ? "Remove this hole" : "Remove this part";
    said.textContent = stands(drawing);
  };
  drawing.addEventListener("change", show);
  drawing.addEventListener("select", show);
  drawing.addEventListener("say", ({ detail }) => {
    said.textContent = detail || stands(drawing);
  });
  drawing.addEventListener("leave", (event) => {
    event.preventDefault();
    here.focus();
  });
  show();
  return bar;
}

const can = (button, isPossible) => {
  button.ariaDisabled = String(!isPossible);
};

function hereWords({ kind, selected, pending, shape }) {
  if (kind === "point") return shape.parts.length ? "Move it here" : "Put it here";
  if (selected) return "Move corner here";
  return pending ? `Begin the ${pending} here` : "Add corner here";
}

// What a tap would do now.
function stands(drawing) {
  const { kind, selected, pending, openRing, shape } = drawing;
  if (kind === "point") return shape.parts.length ? "Tap where it should go, or drag it." : "Tap the place.";
  if (selected) return "Tap where it goes, or drag it. Arrow keys push it.";
  if (pending === "hole") return "Tap inside the plot where the hole begins.";
  if (pending === "part") return "Tap where the part begins.";
  if (kind === "line") return shape.parts.length ? "Tap on to the line's end." : "Tap where the line begins.";
  if (openRing) return ringAt(shape, openRing).corners.length < 3 ? "Tap along the edge, corner by corner." : "Tap on, or tap the first corner to close.";
  if (shape.parts.length) return drawing.isThinned ? "Tap a corner to move it. Zoom in for those between." : "Tap a corner to move it, or an edge to put a corner in.";
  return "Tap the first corner, or bring the cross over it.";
}

function element(name, properties) {
  return Object.assign(document.createElement(name), properties);
}
