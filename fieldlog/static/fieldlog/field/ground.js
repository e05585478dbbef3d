// Where somebody stands against the outlines of the plots. Pure, in a flat frame around the place: good to a foot within
// some miles.

import { FT_A_M, M_A_DEGREE, feetText } from "../../plots/units.js";

const WAYS = ["north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west"];

const ringsOf = (geometry) => (geometry?.type === "Polygon" ? geometry.coordinates : (geometry?.coordinates.flat() ?? []));

// Whether a place is inside: even-odd over all rings, so holes are outside and parts count each.
export function contains(geometry, [lon, lat]) {
  let isInside = false;
  for (const ring of ringsOf(geometry)) {
    for (let i = 0, j = ring.length - 1; i < ring.length; j = i++) {
      const [[x1, y1], [x2, y2]] = [ring[i], ring[j]];
      if (y1 > lat !== y2 > lat && lon < ((x2 - x1) * (lat - y1)) / (y2 - y1) + x1) isInside = !isInside;
    }
  }
  return isInside;
}

// Metres east and north of a place.
export const flatFrom = ([lon0, lat0]) => {
  const squeeze = Math.cos((lat0 * Math.PI) / 180);
  return ([lon, lat]) => [(lon - lon0) * squeeze * M_A_DEGREE, (lat - lat0) * M_A_DEGREE];
};

// { m, bearing_deg } to the nearest edge, null without an outline.
export function nearestEdge(geometry, place) {
  const flat = flatFrom(place);
  let nearest = null;
  for (const ring of ringsOf(geometry)) {
    const points = ring.map(flat);
    for (let i = 1; i < points.length; i++) {
      const [x, y] = footOn(points[i - 1], points[i]);
      const m = Math.hypot(x, y);
      if (!nearest || m < nearest.m) nearest = { m, bearing_deg: bearingOf(x, y) };
    }
  }
  return nearest;
}

// { m, bearing_deg } from one place to another.
export function wayTo(place, there) {
  const [x, y] = flatFrom(place)(there);
  return { m: Math.hypot(x, y), bearing_deg: bearingOf(x, y) };
}

// The point of a line that is nearest to the origin.
function footOn([x1, y1], [x2, y2]) {
  const [dx, dy] = [x2 - x1, y2 - y1];
  const long = dx * dx + dy * dy;
  const along = long ? Math.min(1, Math.max(0, -(x1 * dx + y1 * dy) / long)) : 0;
  return [x1 + along * dx, y1 + along * dy];
}

const bearingOf = (east, north) => ((Math.atan2(east, north) * 180) / Math.PI + 360) % 360;

export const wayWords = (bearing_deg) => WAYS[Math.round(bearing_deg / 45) % 8];

// '320 ft north-east', or miles from half a mile on.
export function farWords({ m, bearing_deg }) {
  const feet = m * FT_A_M;
  const far = feet < 2_640 ? feetText(feet < 100 ? feet : Math.round(feet / 10) * 10) : `${(feet / 5_280).toFixed(1)} miles`;
  return `${far} ${wayWords(bearing_deg)}`;
}

// The plots, those inside which the place is first, then by their distance: [{ plot, isInside, m, bearing_deg }]; m is
// null where a plot has no outline. Without a place as they come.
export function nearestFirst(plots, place) {
  if (!place) return plots.map((plot) => ({ plot, isInside: false, m: null, bearing_deg: null }));
  const at = [place.lon, place.lat];
  const found = plots.map((plot) => {
    const isInside = contains(plot.geometry, at);
    return { plot, isInside, ...(nearestEdge(plot.geometry, at) ?? { m: null, bearing_deg: null }) };
  });
  const rank = ({ isInside, m }) => (isInside ? -1 : (m ?? Infinity));
  return found.sort((a, b) => rank(a) - rank(b) || (a.plot.properties.acres ?? 0) - (b.plot.properties.acres ?? 0));
}
