// Drawing and correcting an area, a line or a point on a Leaflet map, by mouse, touch and keyboard.
//
//   const drawing = new Drawing(map, { kind: "line" });
//   panel.append(drawingBar(drawing));
//   drawing.addEventListener("change", () => drawing.geometry);
//
// A tap adds a corner. A tap on a corner chooses it, and the next tap on the map moves it there; it can be dragged too.
// What the tap does at a finger's tip, `addHere` does at the crosshair in the middle of the map: without dragging, with
// one hand, or by the keyboard. Needs draw.css.

import { Drawn } from "./drawn.js";
import { Handles } from "./handles.js";
import { cornerKey, pageKey } from "./keys.js";
import { Picture } from "./picture.js";
import { latLngOf, pointOf } from "../places.js";
import * as shapes from "./shape.js";
import { Snapping } from "./snapping.js";
import { tapped } from "./taps.js";

export { drawingBar } from "./bar.js";

const ON_EDGE = 18; // pixels from an edge at which a tap means the edge

export class Drawing extends Drawn {
  // kind: "area" (MultiPolygon), "line" (LineString) or "point" (Point); geometry: GeoJSON to begin with;
  // neighbours(): GeoJSON polygons, or Features of them with a name, whose edges corners snap to.
  constructor(map, { kind, geometry = null, neighbours = null }) {
    super(kind, geometry);
    this.map = map;
    this._snapping = new Snapping(map, neighbours);
    this._picture = new Picture(map);
    this._handles = new Handles({
      grab: (place) => this._grab(place),
      put: (place, latlng, event) => this._drag(place, latlng, event),
      drop: (place) => this._drop(place),
      letGo: () => this._letGo(),
      insert: (place, latlng, isDragged) => this._insertMiddle(place, latlng, isDragged),
      tap: (place) => this._tapCorner(place),
      focus: (place) => place && this.select(place),
      key: (place, event) => this._cornerKey(place, event),
    });
    this._start();
  }

  // The area so far, with the ring that is being drawn closed as it is; null while it encloses nothing.
  get soFar() {
    return shapes.asIfClosed(this._moving ?? this.shape);
  }

  get canSnap() {
    return this._snapping.isPossible;
  }

  get isSnapping() {
    return this._snapping.isOn;
  }

  get bounds() {
    const corners = this.shape.parts.flat().flatMap(({ corners }) => corners);
    return L.latLngBounds(corners.map(latLngOf));
  }

  // The neighbours are others now.
  refresh() {
    this._shared = this._findShared();
    this.dispatchEvent(new Event("select"));
  }

  // At the crosshair: adds a corner there, or moves the chosen one.
  addHere() {
    // the corner stays chosen, so that the crosshair can go on moving it
    this._tap(this.map.getCenter(), { edge: Infinity, stays: true });
  }

  removeCorner() {
    const hadFocus = document.activeElement?.closest?.(".draw-corner");
    super.removeCorner();
    if (hadFocus && this.selected) this._handles.focus(this.selected);
  }

  // Whether there are corners in view that lie too close to have a handle of their own.
  get isThinned() {
    const { handles, inView } = this._handles.shown();
    return handles < inView;
  }

  // The two corners between which a neighbour's edge can be followed, with what lies between them; null if none.
  get shared() {
    return this._shared ?? null;
  }

  followSharedEdge() {
    const found = this._shared;
    if (!found) return;
    const { place, corners, name } = found;
    this.step(shapes.withCorners(this.shape, place, place.corner, corners));
    this.say(`The edge now follows ${name || "the neighbour"}: ${corners.length} corner${corners.length === 1 ? "" : "s"} taken over.`);
  }

  setSnapping(isOn) {
    this._snapping.isOn = isOn;
  }

  // Out of the corners, to the buttons.
  leave() {
    this.pending = null;
    this.select(null);
    this.show();
    const isHeard = !this.dispatchEvent(new Event("leave", { cancelable: true }));
    if (!isHeard) this.map.getContainer().focus({ preventScroll: true });
  }

  // Leaves the map as it was.
  stop() {
    this._listening.abort();
    this.map.off("click", this._clicked, this);
    this._handles.remove();
    this._picture.remove();
    if (this._doubleClickZoomed) this.map.doubleClickZoom.enable();
  }

  _start() {
    const { map } = this;
    this._doubleClickZoomed = map.doubleClickZoom.enabled();
    map.doubleClickZoom.disable();
    this._handles.addTo(map);
    this._handles.on("thinned", () => this.dispatchEvent(new Event("select")));
    map.on("click", this._clicked, this);
    this._listening = new AbortController();
    document.addEventListener("keydown", (event) => this._key(event), { signal: this._listening.signal });
    this.show();
  }

  _clicked({ latlng, originalEvent }) {
    this._tap(latlng, { edge: ON_EDGE, isFree: originalEvent?.altKey });
  }

  _tap(latlng, { edge, isFree = false, stays = false }) {
    const at = this._snapping.at(latlng, isFree);
    const { x, y } = this.map.latLngToContainerPoint(latlng);
    const { shape, selected, begun, sentence } = tapped(this.shape, {
      position: at.position,
      point: [x, y],
      project: (position) => pointOf(this.map, position),
      edge,
      selected: this.selected,
      stays,
      pending: this.pending,
    });
    if (sentence) this.say(sentence);
    if (!shape) return;
    if (begun !== undefined) {
      this.pending = null;
      this.ring = begun;
    }
    this._stepTo(shape, selected, at);
  }

  // A step whose corner may have taken a neighbour's place, which is then marked and said.
  _stepTo(shape, selected, { position, name, isCorner }) {
    this.step(shape, selected);
    if (name !== undefined) this._picture.cue(position);
    if (name) this.say(`On ${isCorner ? "a corner" : "the edge"} of ${name}.`);
  }

  _insertMiddle(place, latlng, isDragged) {
    const shape = shapes.withCorners(this.shape, place, place.corner, [shapes.rounded([latlng.lng, latlng.lat])]);
    if (isDragged) this._inserted = shape;
    else {
      this.step(shape, place);
      this._handles.focus(place);
    }
  }

  _tapCorner(place) {
    const open = this.openRing;
    const isFirst = open && shapes.isSameRing(open, place) && place.corner === 0 && !this.selected;
    if (isFirst && shapes.ringAt(this.shape, open).corners.length >= 3) {
      this.close();
      return;
    }
    this.pending = null;
    this.select(shapes.isSameCorner(place, this.selected) ? null : place);
    if (this.selected) this._handles.focus(place);
  }

  _grab(place) {
    this._before = { selected: this.selected, shape: this._inserted ?? this.shape };
    this._moving = this._before.shape;
    this.selected = place;
    this.ring = place;
  }

  // While a corner is dragged; the place where it lies now.
  _drag(place, latlng, { altKey }) {
    const at = this._snapping.at(latlng, altKey);
    this._moving = shapes.withMoved(this._before.shape, place, at.position);
    this._picture.cue(at.name === undefined ? null : at.position);
    this._picture.show(this._moving, { goesOn: false });
    this.dispatchEvent(new Event("drag"));
    return latLngOf(at.position);
  }

  _drop(place) {
    const shape = this._moving;
    const position = shapes.cornerAt(shape, place);
    this._moving = this._inserted = null;
    this._stepTo(shape, place, { position, name: this._snapping.isSnapped(position) ? "" : undefined });
    this._handles.focus(place);
  }

  _letGo() {
    this._moving = this._inserted = null;
    this.selected = this._before.selected;
    this._picture.cue();
    this.show();
    this.dispatchEvent(new Event("select"));
  }

  _cornerKey(place, event) {
    const meant = place && cornerKey(event);
    if (!meant) return;
    if (meant.push) this._push(place, meant.push);
    else {
      const next = this._handles.beside(place, meant.onward);
      if (!next) return; // Tab leaves the corners
      this.select(next);
      this._handles.focus(next);
    }
    event.preventDefault();
    event.stopPropagation();
  }

  _push(place, push) {
    const position = push(shapes.cornerAt(this.shape, place));
    const tag = `push ${place.part} ${place.ring} ${place.corner}`;
    this.step(shapes.withMoved(this.shape, place, position), place, tag);
    this.map.panInside(latLngOf(position), { padding: [40, 40], animate: false });
    this._handles.focus(place);
  }

  _key(event) {
    const act = pageKey(this, event);
    if (!act) return;
    act();
    event.preventDefault();
  }

  _changed(selected) {
    this._picture.cue();
    super._changed(selected);
  }

  show() {
    const { shape } = this;
    const last = shapes.lastOfOpen(shape);
    this._shared = this._findShared();
    this._picture.show(shape, { goesOn: !this.selected && !this._moving });
    this._handles.show(shape, { selected: this.selected, label: (place) => shapes.cornerName(shape, place), isLast: (place) => shapes.isSameCorner(place, last) });
  }

  _findShared() {
    return this._snapping.sharedAt(this.shape, shapes.hasCorner(this.shape, this.selected) ? this.selected : shapes.lastOfOpen(this.shape));
  }
}
