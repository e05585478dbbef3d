// What is drawn, as values that never change: every move gives a new shape, which shares what it did not touch.
//
// A shape is { kind: "area" | "line" | "point", parts }. A part of an area is its outline and then its holes; a line
// or a point has one part of one ring. A ring is { corners: [[longitude, latitude], …], isOpen }: open while it is
// being drawn, and without the first corner repeated at its end. A place is { part, ring } or { part, ring, corner }.

const DECIMALS = 1e7; // a centimetre on the ground
const LEAST = { area: 3, line: 2, point: 1 };

export const rounded = ([lon, lat]) => [Math.round(lon * DECIMALS) / DECIMALS, Math.round(lat * DECIMALS) / DECIMALS];
export const isSame = (a, b) => a[0] === b[0] && a[1] === b[1];
export const isSameRing = (a, b) => Boolean(a && b) && a.part === b.part && a.ring === b.ring;
export const isSameCorner = (a, b) => isSameRing(a, b) && a.corner === b.corner;

export const emptyShape = (kind) => ({ kind, parts: [] });
export const ringAt = (shape, place) => shape.parts[place.part]?.[place.ring];
export const cornerAt = (shape, place) => ringAt(shape, place)?.corners[place.corner];
export const hasCorner = (shape, place) => Boolean(place && cornerAt(shape, place));
export const ringPlaces = ({ parts }) => parts.flatMap((rings, part) => rings.map((_, ring) => ({ part, ring })));

// The ring that is being drawn, or null. A line goes on for as long as it is drawn.
export function openPlace(shape) {
  return ringPlaces(shape).find((place) => ringAt(shape, place).isOpen) ?? null;
}

// The end of what is being drawn, from which the next corner goes on; null where nothing is.
export function lastOfOpen(shape) {
  const place = openPlace(shape);
  return place && { ...place, corner: ringAt(shape, place).corners.length - 1 };
}

export function isComplete(shape) {
  const { kind, parts } = shape;
  const rings = parts.flat();
  if (!rings.length || rings.some(({ corners }) => corners.length < LEAST[kind])) return false;
  return kind !== "area" || rings.every(({ isOpen }) => !isOpen);
}

export function fromGeoJSON(kind, geometry) {
  if (!geometry) return emptyShape(kind);
  const { type, coordinates } = geometry;
  const closed = (ring) => ({ corners: ring.slice(0, -1).map(flat), isOpen: false });
  if (kind === "area" && type === "Polygon") return { kind, parts: [coordinates.map(closed)] };
  if (kind === "area" && type === "MultiPolygon") return { kind, parts: coordinates.map((part) => part.map(closed)) };
  if (kind === "line" && type === "LineString") return { kind, parts: [[{ corners: coordinates.map(flat), isOpen: true }]] };
  if (kind === "point" && type === "Point") return { kind, parts: [[{ corners: [flat(coordinates)], isOpen: false }]] };
  throw new TypeError(`A ${type} cannot be drawn as a ${kind}.`);
}

const flat = ([lon, lat]) => [lon, lat];

// MultiPolygon, LineString or Point; null while the shape is not complete.
export function toGeoJSON(shape) {
  if (!isComplete(shape)) return null;
  if (shape.kind === "area") return multiPolygon(shape.parts);
  const [[{ corners }]] = shape.parts;
  return shape.kind === "line" ? { type: "LineString", coordinates: corners } : { type: "Point", coordinates: corners[0] };
}

// An area with the ring that is being drawn closed as it is; null while that encloses nothing.
export function asIfClosed(shape) {
  const rings = shape.parts.map((part) => part.filter(({ corners }) => corners.length >= LEAST.area));
  const parts = rings.filter((part, i) => part.length && part[0] === shape.parts[i][0]);
  return parts.length ? multiPolygon(parts) : null;
}

const multiPolygon = (parts) => ({
  type: "MultiPolygon",
  coordinates: parts.map((part) => part.map(({ corners }) => [...corners, corners[0]])),
});

// What a corner is called.
export function cornerName(shape, place) {
  const { corners } = ringAt(shape, place);
  if (shape.kind === "point") return "The point";
  const where = [];
  if (place.ring > 0) where.push(`hole ${place.ring}`);
  if (shape.parts.length > 1) where.push(`part ${place.part + 1}`);
  return [`Corner ${place.corner + 1} of ${corners.length}`, ...where].join(", ");
}

// Begins a ring: a hole of the part, or without one a part of its own.
export function withRing(shape, part, corners) {
  const ring = { corners, isOpen: shape.kind !== "point" };
  const parts = part === null ? [...shape.parts, [ring]] : shape.parts.with(part, [...shape.parts[part], ring]);
  return { ...shape, parts };
}

// Corners put in before the index.
export function withCorners(shape, place, index, corners) {
  return changed(shape, place, (ring) => ({ ...ring, corners: ring.corners.toSpliced(index, 0, ...corners) }));
}

export function withMoved(shape, place, position) {
  return changed(shape, place, (ring) => ({ ...ring, corners: ring.corners.with(place.corner, position) }));
}

export function withClosed(shape, place) {
  return changed(shape, place, (ring) => ({ ...ring, isOpen: false }));
}

// Without the corner; null where the ring would enclose nothing. The last corner of a ring that is being drawn
// takes the ring with it.
export function withoutCorner(shape, place) {
  const { corners, isOpen } = ringAt(shape, place);
  if (corners.length === 1) return withoutRing(shape, place);
  if (!isOpen && corners.length <= LEAST[shape.kind]) return null;
  return changed(shape, place, (ring) => ({ ...ring, corners: ring.corners.toSpliced(place.corner, 1) }));
}

// Without the hole, or without the part if the ring is its outline.
export function withoutRing(shape, { part, ring }) {
  const parts = ring === 0 ? shape.parts.toSpliced(part, 1) : shape.parts.with(part, shape.parts[part].toSpliced(ring, 1));
  return { ...shape, parts };
}

function changed(shape, { part, ring }, change) {
  const rings = shape.parts[part];
  return { ...shape, parts: shape.parts.with(part, rings.with(ring, change(rings[ring]))) };
}

// The part on whose ground the position lies, or null.
export function partUnder(shape, position) {
  const part = shape.parts.findIndex(([outline, ...holes]) =>
    !outline.isOpen && isInside(outline.corners, position) && !holes.some((hole) => !hole.isOpen && isInside(hole.corners, position)));
  return part < 0 ? null : part;
}

export function isInside(corners, [x, y]) {
  let inside = false;
  corners.forEach(([x1, y1], i) => {
    const [x2, y2] = corners.at(i - 1);
    if (y1 > y !== y2 > y && x < x1 + ((y - y1) * (x2 - x1)) / (y2 - y1)) inside = !inside;
  });
  return inside;
}

// The place on the segment that is nearest to the point, all in one plane: { at: [x, y], share: 0 … 1, away }.
export function nearestOn([x1, y1], [x2, y2], [x, y]) {
  const [dx, dy] = [x2 - x1, y2 - y1];
  const length2 = dx * dx + dy * dy;
  const share = length2 ? Math.min(1, Math.max(0, ((x - x1) * dx + (y - y1) * dy) / length2)) : 0;
  const at = [x1 + share * dx, y1 + share * dy];
  return { at, share, away: Math.hypot(x - at[0], y - at[1]) };
}
