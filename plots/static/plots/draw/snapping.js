// Snapping on a map: how near is near depends on how far away the ground is seen from.

import { pointOf } from "../places.js";
import { hasCorner, isSame, ringAt, rounded } from "./shape.js";
import { ringsAround, snapped, stretchBetween } from "./snap.js";

const REACH = 12; // pixels within which a corner takes a neighbour's place
const REACH_M = 20; // and on the ground: seen from afar, twelve pixels are half a plot

export class Snapping {
  // neighbours(): GeoJSON polygons, or Features of them with a name; null where there is nothing to snap to.
  constructor(map, neighbours) {
    Object.assign(this, { _map: map, _neighbours: neighbours ?? (() => []), isPossible: neighbours !== null });
    this.isOn = this.isPossible;
  }

  // Where the corner goes: { position }, with the neighbour's name if it takes its place.
  at({ lng, lat }, isFree) {
    const position = rounded([lng, lat]);
    return (!isFree && this._near(position)) || { position };
  }

  isSnapped(position) {
    const near = this._near(position);
    return Boolean(near) && isSame(near.position, position);
  }

  // Of the corners around the place, or the last two of what is being drawn: { name, corners, place } of the stretch of
  // a neighbour's edge between them, which goes in at the place; null if none lies there.
  sharedAt(shape, place) {
    if (!this.isPossible || !hasCorner(shape, place)) return null;
    const { corners, isOpen } = ringAt(shape, place);
    if (corners.length < 2) return null;
    const rings = ringsAround(this._neighbours());
    const pairs = [[place.corner, place.corner + 1], [place.corner - 1, place.corner]];
    for (const [from, to] of pairs) {
      if (isOpen && (from < 0 || to >= corners.length)) continue;
      const found = stretchBetween(corners.at(from), corners[to % corners.length], rings);
      if (found) return { ...found, place: { part: place.part, ring: place.ring, corner: from < 0 ? corners.length : from + 1 } };
    }
    return null;
  }

  _near(position) {
    if (!this.isOn) return null;
    const map = this._map;
    const [lon, lat] = position;
    const [x, y] = pointOf(map, position);
    const reach = REACH * Math.min(1, REACH_M / map.distance([lat, lon], map.containerPointToLatLng([x + REACH, y])));
    const [sw, ne] = [[x - reach, y + reach], [x + reach, y - reach]].map((point) => map.containerPointToLatLng(point));
    const project = (each) => pointOf(map, each);
    return snapped(position, ringsAround(this._neighbours()), { project, reach, window: [sw.lng, sw.lat, ne.lng, ne.lat] });
  }
}
