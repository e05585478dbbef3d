// Rough figures while walking. The server's take their place: it leaves out jumps and stands, and measures on the
// ellipsoid.

import { roughFigures } from "../../plots/draw/rough.js";
import { FT_A_M, M2_AN_ACRE, M_A_DEGREE, feetText } from "../../plots/units.js";

const STEP_M = 3; // shorter steps are mostly the receiver's wandering

export const inFeet = (m) => feetText(m * FT_A_M);
export const counts = ([, , accuracy_m], worst_m) => accuracy_m <= worst_m;

function metresBetween([lon1, lat1], [lon2, lat2]) {
  const east = (lon2 - lon1) * Math.cos(((lat1 + lat2) * Math.PI) / 360);
  return Math.hypot(east, lat2 - lat1) * M_A_DEGREE;
}

// The fixes that count, a step apart.
export function wayOf(fixes, worst_m) {
  const way = [];
  for (const fix of fixes) {
    if (!counts(fix, worst_m)) continue;
    const last = way.at(-1);
    if (!last || last[4] !== fix[4] || metresBetween(last, fix) >= STEP_M) way.push(fix);
  }
  return way;
}

export function lengthOf(way) {
  return way.slice(1).reduce((sum, fix, i) => sum + (fix[4] === way[i][4] ? metresBetween(way[i], fix) : 0), 0);
}

// { acres, margin, gap_m }, or null where there is nothing to measure yet.
export function roughOf(way) {
  if (way.length < 3) return null;
  const ring = [...way, way[0]].map(([lon, lat]) => [lon, lat]);
  const { acres, perimeter_ft } = roughFigures({ coordinates: [[ring]] });
  const accuracy_m = way.reduce((sum, fix) => sum + fix[2], 0) / way.length;
  return { acres, margin: (perimeter_ft / FT_A_M * accuracy_m) / M2_AN_ACRE, gap_m: metresBetween(way.at(-1), way[0]) };
}

// [words, mood] of an accuracy: what a person under trees wants to know.
export function accuracyWords(accuracy_m, worst_m) {
  if (accuracy_m > worst_m) return ["Too poor: left out", "stop"];
  if (accuracy_m <= 5) return ["Good", "good"];
  return accuracy_m <= 10 ? ["Fair", "good"] : ["Poor, but it counts", "warn"];
}

export function clock(ms) {
  const seconds = Math.floor(ms / 1000);
  const [h, m, s] = [Math.floor(seconds / 3600), Math.floor(seconds / 60) % 60, seconds % 60];
  return `${h ? `${h}:` : ""}${h ? String(m).padStart(2, "0") : m}:${String(s).padStart(2, "0")}`;
}
