// Positions and bounds as the map and the server want them.

export const latLngOf = ([lon, lat]) => [lat, lon];

// A position [longitude, latitude] as [x, y] in pixels from the corner of the map.
export function pointOf(map, position) {
  const { x, y } = map.latLngToContainerPoint(latLngOf(position));
  return [x, y];
}

// Bounds as the server takes them, "west,south,east,north" in degrees, held to the world.
export function bboxOf(bounds) {
  const held = (value, most) => Math.min(Math.max(value, -most), most).toFixed(7);
  return [held(bounds.getWest(), 180), held(bounds.getSouth(), 90), held(bounds.getEast(), 180), held(bounds.getNorth(), 90)].join();
}
