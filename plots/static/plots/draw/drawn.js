// What is drawn and what of it is chosen, without a map: the shape, its steps, and the buttons' deeds.
//
// "change" is sent after every step, "select" when something else is chosen or begun, and "say" with a sentence in its
// detail, empty when the one before holds no longer. `show()` is called before each of the first two.

import { begin, redo, step, undo } from "./history.js";
import * as shapes from "./shape.js";

const SENTENCES = {
  fewest: "An outline needs three corners. Move this one, or take the whole ring away.",
  unfinished: "Close the ring that you are drawing first.",
};

export class Drawn extends EventTarget {
  constructor(kind, geometry) {
    super();
    this.kind = kind;
    this.selected = null; // a corner
    this.ring = null; // the ring that was touched last
    this.pending = null; // "part" or "hole": what the next corner begins
    this._history = begin(shapes.fromGeoJSON(kind, geometry));
  }

  get shape() {
    return this._history.present;
  }

  get geometry() {
    return shapes.toGeoJSON(this.shape);
  }

  get isComplete() {
    return shapes.isComplete(this.shape);
  }

  get openRing() {
    return this.kind === "area" ? shapes.openPlace(this.shape) : null;
  }

  get canUndo() {
    return this._history.past.length > 0;
  }

  get canRedo() {
    return this._history.future.length > 0;
  }

  // The steps, as values that can be kept and given back to `takeUp`.
  get history() {
    return this._history;
  }

  show() {}

  undo() {
    if (this.canUndo) this.takeUp(undo(this._history));
  }

  redo() {
    if (this.canRedo) this.takeUp(redo(this._history));
  }

  takeUp(history) {
    this._history = history;
    this.pending = null;
    this._changed(null);
  }

  // Another geometry as one more step.
  replaceWith(geometry) {
    this.takeUp(step(this._history, shapes.fromGeoJSON(this.kind, geometry)));
  }

  // To another shape, in which `selected` is chosen or nothing. Steps with one tag, one after the other, are one.
  step(shape, selected = null, tag = null) {
    this._history = step(this._history, shape, tag);
    this._changed(selected);
  }

  select(place) {
    if (place ? shapes.isSameCorner(place, this.selected) : !this.selected) return;
    this.selected = place;
    if (place) this.ring = place;
    this._chosen();
  }

  // The chosen corner, or the last one of what is being drawn.
  removeCorner() {
    const place = this.selected ?? shapes.lastOfOpen(this.shape);
    if (!place) return;
    const shape = shapes.withoutCorner(this.shape, place);
    if (!shape) {
      this.say(SENTENCES.fewest);
      return;
    }
    const before = { ...place, corner: Math.max(0, place.corner - 1) };
    this.step(shape, this.selected && shapes.hasCorner(shape, before) ? before : null);
  }

  close() {
    const place = this.openRing;
    if (!place || shapes.ringAt(this.shape, place).corners.length < 3) return;
    this.ring = place;
    this.step(shapes.withClosed(this.shape, place));
  }

  // The next corner begins a part of its own, or a hole; once more, and it does not.
  begin(what) {
    if (this.openRing) {
      this.say(SENTENCES.unfinished);
      return;
    }
    this.pending = this.pending === what ? null : what;
    this.selected = null;
    this._chosen();
  }

  // The hole or the part that was touched last.
  removeRing() {
    if (!this.ring || !shapes.ringAt(this.shape, this.ring)) return;
    const shape = shapes.withoutRing(this.shape, this.ring);
    this.ring = null;
    this.step(shape);
  }

  say(sentence) {
    this.dispatchEvent(new CustomEvent("say", { detail: sentence }));
  }

  _chosen() {
    this.show();
    this.dispatchEvent(new Event("select"));
  }

  _changed(selected) {
    this.selected = selected;
    if (selected) this.ring = selected;
    if (this.ring && !shapes.ringAt(this.shape, this.ring)) this.ring = null;
    this.say("");
    this.show();
    this.dispatchEvent(new Event("change"));
  }
}
