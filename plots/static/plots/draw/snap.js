// Edges in common: a corner that comes near a neighbour's corner or edge takes its place, and the stretch between two
// corners on a neighbour's edge can follow it, so that no sliver stays between the two.

import { isSame, nearestOn, rounded } from "./shape.js";

const ON_THE_EDGE = 2e-7; // degrees: a place on an edge is rounded, and so lies beside it by as much

const ringsOf = new WeakMap(); // geometry -> its rings, since neighbours are asked for at every move

// The rings of neighbours: GeoJSON polygons, or Features of them with a name.
export function ringsAround(neighbours) {
  return neighbours.flatMap((neighbour) => {
    const geometry = neighbour.geometry ?? neighbour;
    if (!ringsOf.has(geometry)) ringsOf.set(geometry, read(geometry, neighbour.properties?.name ?? ""));
    return ringsOf.get(geometry);
  });
}

function read({ type, coordinates }, name) {
  const polygons = type === "Polygon" ? [coordinates] : coordinates;
  return polygons.flat().map((ring) => {
    const corners = ring.slice(0, -1).map(([lon, lat]) => [lon, lat]);
    const [lons, lats] = [0, 1].map((axis) => corners.map((corner) => corner[axis]));
    return { name, corners, box: [lons.reduce(least), lats.reduce(least), lons.reduce(most), lats.reduce(most)] };
  });
}

const least = (a, b) => (a < b ? a : b);
const most = (a, b) => (a > b ? a : b);

// Where a position goes: { position, name, isCorner }, or null where no ring is within reach. A corner goes before an edge.
// `project` turns a position into pixels [x, y]; `window` is [west, south, east, north] around what is in reach.
export function snapped(position, rings, { project, reach, window }) {
  const point = project(position);
  let [corner, edge] = [null, null];
  for (const ring of rings) {
    if (!meets(ring.box, window)) continue;
    ring.corners.forEach((to, i) => {
      const from = ring.corners.at(i - 1);
      if (!meets(boxOf(from, to), window)) return;
      const [a, b] = [project(from), project(to)];
      const away = Math.hypot(b[0] - point[0], b[1] - point[1]);
      if (away <= (corner?.away ?? reach)) corner = { position: to, name: ring.name, isCorner: true, away };
      const fromAway = Math.hypot(a[0] - point[0], a[1] - point[1]);
      if (fromAway <= (corner?.away ?? reach)) corner = { position: from, name: ring.name, isCorner: true, away: fromAway };
      const near = nearestOn(a, b, point);
      if (near.away <= (edge?.away ?? reach)) {
        const on = [0, 1].map((axis) => from[axis] + near.share * (to[axis] - from[axis]));
        edge = { position: rounded(on), name: ring.name, isCorner: false, away: near.away };
      }
    });
  }
  return corner ?? edge;
}

const boxOf = ([x1, y1], [x2, y2]) => [Math.min(x1, x2), Math.min(y1, y2), Math.max(x1, x2), Math.max(y1, y2)];
const meets = (a, b) => a[0] <= b[2] && b[0] <= a[2] && a[1] <= b[3] && b[1] <= a[3];

// The corners of the ring between two positions that both lie on it, the shorter way round; null where they do not,
// or where nothing lies between them.
export function stretchBetween(start, end, rings) {
  for (const ring of rings) {
    const [a, b] = [placeOn(ring, start), placeOn(ring, end)];
    if (a === null || b === null) continue;
    const onward = between(ring.corners, a, b, start, end);
    const back = between(ring.corners, b, a, end, start).reverse();
    const way = lengthOf([start, ...onward, end]) <= lengthOf([start, ...back, end]) ? onward : back;
    if (way.length) return { name: ring.name, corners: way };
  }
  return null;
}

// How far along the ring the position lies: 2.5 is halfway from corner 2 to corner 3; null beside it.
function placeOn({ corners, box }, position) {
  const [x, y] = position;
  if (!meets(box, [x - ON_THE_EDGE, y - ON_THE_EDGE, x + ON_THE_EDGE, y + ON_THE_EDGE])) return null;
  const exact = corners.findIndex((corner) => isSame(corner, position));
  if (exact >= 0) return exact;
  for (let i = 0; i < corners.length; i += 1) {
    const near = nearestOn(corners[i], corners[(i + 1) % corners.length], position);
    if (near.away <= ON_THE_EDGE) return i + near.share;
  }
  return null;
}

// Corners met when walking the ring onward from place a to place b.
function between(corners, a, b, start, end) {
  const count = corners.length;
  const way = [];
  const last = b > a ? b : b + count;
  for (let i = Math.floor(a) + 1; i <= last; i += 1) way.push(corners[i % count]);
  return way.filter((corner) => !isSame(corner, start) && !isSame(corner, end));
}

function lengthOf(positions) {
  const across = Math.cos((positions[0][1] * Math.PI) / 180);
  return positions.slice(1).reduce((sum, [x, y], i) => sum + Math.hypot((x - positions[i][0]) * across, y - positions[i][1]), 0);
}
