// The corners that can be taken hold of, and the middles of long edges, where a corner can be put in. Only those in
// view have a handle, and of corners that lie closer than a finger can tell apart only some: an outline of thousands
// stays quick.

import { isSameCorner, ringAt, ringPlaces } from "./shape.js";

const APART = 28; // pixels
const LONG_EDGE = 96;
const MARGIN = 24; // how far outside of the map a handle may still lie
const REACH = 22; // half of what a finger hits
const STEADY = { mouse: 3, pen: 6, touch: 8 }; // pixels that a press may stray without being a drag

export const Handles = L.Layer.extend({
  // `hold` hears what is done: grab(place), put(place, latlng, event) -> latlng, drop(place), letGo(), tap(place),
  // insert(place, latlng, isDragged), focus(place), key(place, event)
  initialize(hold) {
    this._hold = hold;
    this._elements = new Map();
    this._corners = [];
    this._middles = [];
    this._inView = 0;
    this._wasThinned = false;
  },

  onAdd(map) {
    this._pane = map.getPane("draw-handles") ?? map.createPane("draw-handles");
    this._pane.classList.add("leaflet-zoom-hide");
    L.DomEvent.disableClickPropagation(this._pane);
    this._listening = new AbortController();
    const listen = (type, heard) => this._pane.addEventListener(type, heard.bind(this), { signal: this._listening.signal });
    listen("pointerdown", this._press);
    listen("pointermove", this._drag);
    listen("pointerup", this._release);
    listen("pointercancel", this._cancel);
    listen("keydown", (event) => this._hold.key(this._placeOf(event.target), event));
    listen("focusin", ({ target }) => target.matches(":focus-visible") && this._hold.focus(this._placeOf(target)));
    listen("click", this._clickWithoutPointer);
    // The page is not to take a drag for its own; what it has taken the map can no longer zoom with.
    this._pane.addEventListener("touchmove", (event) => event.preventDefault(), { passive: false, signal: this._listening.signal });
    // A second finger means the map, which two of them zoom.
    const letGo = () => this._pressed && this._cancel({ pointerId: this._pressed.id });
    map.getContainer().addEventListener("pointerdown", letGo, { capture: true, signal: this._listening.signal });
  },

  onRemove() {
    this._listening.abort();
    this._pane.replaceChildren();
    this._elements.clear();
  },

  getEvents() {
    return { moveend: this._place, viewreset: this._place };
  },

  // Shows the shape's handles; `selected` is a place or null, `label(place)` what a corner is called.
  show(shape, { selected, label, isLast }) {
    Object.assign(this, { _shape: shape, _selected: selected, _label: label, _isLast: isLast });
    if (!this._pressed?.isDrag) this._place();
  },

  focus(place) {
    this._elements.get(keyOf(place))?.focus({ preventScroll: true });
  },

  // The corner shown after this one, or before it; null at the end.
  beside(place, onward) {
    const at = this._corners.findIndex((each) => isSameCorner(each.place, place));
    return this._corners[at + (onward ? 1 : -1)]?.place ?? null;
  },

  // How many of the corners in view have a handle.
  shown() {
    return { handles: this._corners.length, inView: this._inView };
  },

  _place() {
    if (!this._shape || !this._map) return;
    this._find();
    const kept = new Map();
    const hadFocus = this._pane.contains(document.activeElement) ? document.activeElement : null;
    const reachable = this._corners.find(({ place }) => isSameCorner(place, this._selected)) ?? this._corners[0];
    for (const each of this._corners) {
      const element = this._elementFor(each, "button", "draw-corner", kept);
      element.type = "button";
      element.tabIndex = each === reachable ? 0 : -1;
      element.setAttribute("aria-label", this._label(each.place));
      element.setAttribute("aria-pressed", String(isSameCorner(each.place, this._selected)));
      element.classList.toggle("is-last", this._isLast(each.place));
    }
    for (const each of this._middles) this._elementFor(each, "div", "draw-middle", kept);
    for (const [key, element] of this._elements) if (!kept.has(key)) element.remove();
    this._elements = kept;
    // Tab goes by the order in the document.
    if (!hadFocus) this._pane.replaceChildren(...kept.values());
    else for (const element of kept.values()) if (!element.isConnected) this._pane.append(element);
    if (hadFocus && !hadFocus.isConnected) this._map.getContainer().focus({ preventScroll: true });
    const isThinned = this._corners.length < this._inView;
    if (isThinned !== this._wasThinned) this.fire("thinned");
    this._wasThinned = isThinned;
  },

  _elementFor({ place, point, kind }, tag, className, kept) {
    const key = keyOf(place, kind);
    const element = this._elements.get(key) ?? document.createElement(tag);
    element.className = className;
    element.dataset.place = key;
    L.DomUtil.setPosition(element, point);
    kept.set(key, element);
    return element;
  },

  // Corners and middles in view with their points on the map's layer; the selected one first, so that it is shown.
  _find() {
    const map = this._map;
    const size = map.getSize();
    const taken = new Set();
    [this._corners, this._middles, this._inView] = [[], [], 0];
    const seen = (point) => {
      const { x, y } = map.layerPointToContainerPoint(point);
      return x > -MARGIN && y > -MARGIN && x < size.x + MARGIN && y < size.y + MARGIN;
    };
    const cell = ({ x, y }) => [Math.floor(x / APART), Math.floor(y / APART)];
    const points = new Map();
    const isFree = (point) => {
      const [column, row] = cell(point);
      for (let i = -1; i <= 1; i += 1) {
        for (let j = -1; j <= 1; j += 1) {
          for (const other of points.get(`${column + i} ${row + j}`) ?? []) if (other.distanceTo(point) < APART) return false;
        }
      }
      return true;
    };
    const take = (place, point) => {
      const key = cell(point).join(" ");
      points.set(key, [...(points.get(key) ?? []), point]);
      taken.add(keyOf(place));
      this._corners.push({ place, point, kind: "corner" });
    };
    const pointOf = ([lon, lat]) => map.latLngToLayerPoint([lat, lon]);
    const chosen = this._selected && ringAt(this._shape, this._selected)?.corners[this._selected.corner];
    if (chosen && seen(pointOf(chosen))) take(this._selected, pointOf(chosen));
    for (const where of ringPlaces(this._shape)) {
      const { corners, isOpen } = ringAt(this._shape, where);
      const along = corners.map(pointOf);
      corners.forEach((_, corner) => {
        const place = { ...where, corner };
        const point = along[corner];
        if (!seen(point)) return;
        this._inView += 1;
        if (!taken.has(keyOf(place)) && isFree(point)) take(place, point);
      });
      along.forEach((to, i) => {
        if (i === 0 && (isOpen || corners.length < 2)) return;
        const from = along.at(i - 1);
        const point = from.add(to).divideBy(2);
        // put in before corner i; the edge that closes the ring ends it
        const corner = i === 0 ? corners.length : i;
        if (from.distanceTo(to) > LONG_EDGE && seen(point)) this._middles.push({ place: { ...where, corner }, point, kind: "middle" });
      });
    }
    this._corners.sort(({ place: a }, { place: b }) => a.part - b.part || a.ring - b.ring || a.corner - b.corner);
  },

  // Handles may overlap; the press means the one whose middle is nearest.
  _nearest(event) {
    const point = this._map.mouseEventToLayerPoint(event);
    const reached = [...this._corners, ...this._middles].map((each) => ({ ...each, away: each.point.distanceTo(point) }));
    const within = reached.filter(({ away }) => away <= REACH * Math.SQRT2).sort((a, b) => a.away - b.away);
    return within.find(({ kind, away }) => kind === "corner" && away <= REACH / 2) ?? within[0];
  },

  _placeOf(element) {
    return this._corners.find(({ place }) => keyOf(place) === element.dataset?.place)?.place ?? null;
  },

  _press(event) {
    if (this._pressed || event.button !== 0) return;
    const handle = this._nearest(event);
    if (!handle) return;
    event.preventDefault();
    this._pane.setPointerCapture(event.pointerId);
    const start = this._map.mouseEventToLayerPoint(event);
    this._pressed = { handle, start, id: event.pointerId, grip: handle.point.subtract(start), isDrag: false };
  },

  _drag(event) {
    const pressed = this._pressed;
    if (!pressed || event.pointerId !== pressed.id) return;
    const point = this._map.mouseEventToLayerPoint(event);
    if (!pressed.isDrag) {
      if (point.distanceTo(pressed.start) < (STEADY[event.pointerType] ?? STEADY.mouse)) return;
      pressed.isDrag = true;
      if (pressed.handle.kind === "middle") this._hold.insert(pressed.handle.place, this._map.layerPointToLatLng(pressed.handle.point), true);
      this._hold.grab(pressed.handle.place);
    }
    const at = this._hold.put(pressed.handle.place, this._map.layerPointToLatLng(point.add(pressed.grip)), event);
    const element = this._elements.get(keyOf(pressed.handle.place, pressed.handle.kind));
    if (element) L.DomUtil.setPosition(element, this._map.latLngToLayerPoint(at));
  },

  _release(event) {
    const pressed = this._pressed;
    if (!pressed || event.pointerId !== pressed.id) return;
    this._pressed = null;
    if (pressed.isDrag) this._hold.drop(pressed.handle.place);
    else if (pressed.handle.kind === "middle") this._hold.insert(pressed.handle.place, this._map.layerPointToLatLng(pressed.handle.point), false);
    else this._hold.tap(pressed.handle.place);
  },

  _cancel(event) {
    if (this._pressed?.id !== event.pointerId) return;
    const { isDrag } = this._pressed;
    this._pressed = null;
    if (isDrag) this._hold.letGo();
  },

  // Enter, the space bar and what reads the screen click without a pointer; pointers have been heard already.
  _clickWithoutPointer(event) {
    const place = event.detail === 0 && this._placeOf(event.target);
    if (place) this._hold.tap(place);
  },
});

const keyOf = ({ part, ring, corner }, kind = "corner") => `${kind} ${part} ${ring} ${corner}`;
