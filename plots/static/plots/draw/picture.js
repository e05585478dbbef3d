// What is drawn, as it shows on the map: its ground, its edge, the way ahead to the next corner, and the crosshair.

import { latLngOf } from "../places.js";
import { openPlace, ringAt } from "./shape.js";

export class Picture {
  constructor(map) {
    this._map = map;
    this._layers = layersIn(map);
    this._cross = crosshair();
    map.getContainer().append(this._cross);
    for (const layer of Object.values(this._layers)) layer.addTo(map);
    this._heard = { mousemove: this._pointed, mouseout: this._pointed, move: this._moved };
    map.on(this._heard, this);
  }

  // `goesOn` is whether the ring that is being drawn waits for its next corner.
  show(shape, { goesOn }) {
    const { fill, edge, open, spot } = this._layers;
    const place = openPlace(shape);
    const latLngs = (ring) => ring.corners.map(latLngOf);
    if (shape.kind === "area") {
      fill.setLatLngs(shape.parts.map((rings) => rings.map(latLngs)));
      edge.setLatLngs(shape.parts.flat().filter(({ isOpen }) => !isOpen).map((ring) => [...latLngs(ring), latLngOf(ring.corners[0])]));
    }
    if (shape.kind === "point") spot.setLatLngs(shape.parts.flat().flatMap(latLngs));
    open.setLatLngs(place ? latLngs(ringAt(shape, place)) : []);
    this._from = place && goesOn ? { kind: shape.kind, corners: ringAt(shape, place).corners } : null;
    this._showAhead();
  }

  // A mark on the position that was taken from a neighbour; none without one.
  cue(position = null) {
    this._layers.cue.setLatLngs(position ? [latLngOf(position)] : []);
  }

  remove() {
    this._map.off(this._heard, this);
    for (const layer of Object.values(this._layers)) layer.remove();
    this._cross.remove();
  }

  // From the last corner to where the next one would go.
  _showAhead() {
    const way = [];
    if (this._from) {
      const { kind, corners } = this._from;
      way.push(latLngOf(corners.at(-1)), this._pointer ?? this._map.getCenter());
      if (kind === "area" && corners.length > 1) way.push(latLngOf(corners[0]));
    }
    this._layers.ahead.setLatLngs(way);
  }

  _pointed({ type, latlng, originalEvent }) {
    if (originalEvent?.pointerType === "touch" || originalEvent?.sourceCapabilities?.firesTouchEvents) return;
    this._pointer = type === "mouseout" ? null : latlng;
    this._showAhead();
  }

  _moved() {
    if (this._map._loaded) this._showAhead();
  }
}

function layersIn(map) {
  const pane = map.getPane("draw") ?? map.createPane("draw");
  pane.classList.add("draw-pane");
  const renderer = L.svg({ pane: "draw" });
  const options = (className) => ({ pane: "draw", renderer, className, interactive: false, smoothFactor: 0.5 });
  return {
    fill: L.polygon([], { ...options("draw-fill"), stroke: false }),
    edge: L.polyline([], options("draw-edge")),
    ahead: L.polyline([], options("draw-ahead")),
    open: L.polyline([], options("draw-edge is-open")),
    spot: spots(options("draw-spot"), 7),
    cue: spots(options("draw-cue"), 11),
    renderer,
  };
}

// A round mark that may have no place.
function spots(options, radius) {
  const group = L.layerGroup();
  group.setLatLngs = (latLngs) => {
    group.clearLayers();
    for (const latlng of latLngs) group.addLayer(L.circleMarker(latlng, { ...options, radius }));
  };
  return group;
}

function crosshair() {
  const cross = document.createElement("div");
  cross.className = "draw-cross";
  cross.setAttribute("aria-hidden", "true");
  return cross;
}
