// A rough figure while a corner is under way: flat ground, which is close on a plot. The server's takes its place.

import { FT_A_M, M2_AN_ACRE, M_A_DEGREE } from "../units.js";

// { acres, perimeter_ft } of a MultiPolygon.
export function roughFigures({ coordinates }) {
  const lat = (coordinates[0][0][0][1] * Math.PI) / 180;
  const flat = ([lon, at]) => [lon * M_A_DEGREE * Math.cos(lat), at * M_A_DEGREE];
  let [area_m2, perimeter_m] = [0, 0];
  for (const part of coordinates) {
    part.forEach((ring, i) => {
      const points = ring.map(flat);
      area_m2 += (i === 0 ? 1 : -1) * Math.abs(doubleArea(points)) / 2;
      perimeter_m += points.slice(1).reduce((sum, [x, y], j) => sum + Math.hypot(x - points[j][0], y - points[j][1]), 0);
    });
  }
  return { acres: area_m2 / M2_AN_ACRE, perimeter_ft: perimeter_m * FT_A_M };
}

function doubleArea(points) {
  const [ox, oy] = points[0]; // products of numbers in the millions would lose what is asked for
  return points.slice(1).reduce((sum, [x, y], i) => sum + (points[i][0] - ox) * (y - oy) - (x - ox) * (points[i][1] - oy), 0);
}
