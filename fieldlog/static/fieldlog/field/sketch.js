// Outlines as a drawing, north up, one scale for both ways: what a map is without pictures of the ground.

import { FT_A_M, M_A_DEGREE, feetText } from "../../plots/units.js";

const SVG = "http://www.w3.org/2000/svg";
const [WIDE, HIGH, MARGIN] = [100, 75, 5];
const LEAST_M = 20;
const STEPS_FT = [10, 20, 50, 100, 200, 500, 1_000, 2_000, 5_000, 10_000, 20_000];

export function drawn(name, attributes = {}, ...children) {
  const made = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  made.append(...children);
  return made;
}

// { toBox([lon, lat]) → [x, y], toPlace([x, y]) → [lon, lat], m } of the box's width, for all places in it.
export function frameOf(places) {
  let [west, south, east, north] = [Infinity, Infinity, -Infinity, -Infinity];
  for (const [lon, lat] of places) [west, east, south, north] = [Math.min(west, lon), Math.max(east, lon), Math.min(south, lat), Math.max(north, lat)];
  const [lon0, lat0] = [(west + east) / 2, (south + north) / 2];
  const squeeze = Math.cos((lat0 * Math.PI) / 180);
  const [inWide, inHigh] = [WIDE - 2 * MARGIN, HIGH - 2 * MARGIN];
  const span = Math.max((east - west) * squeeze, ((north - south) * inWide) / inHigh, LEAST_M / M_A_DEGREE);
  const scale = inWide / span;
  return {
    toBox: ([lon, lat]) => [WIDE / 2 + (lon - lon0) * squeeze * scale, HIGH / 2 - (lat - lat0) * scale],
    toPlace: ([x, y]) => [lon0 + (x - WIDE / 2) / (squeeze * scale), lat0 - (y - HIGH / 2) / scale],
    boxPerM: scale / M_A_DEGREE,
  };
}

const placesOf = (geometry) => geometry?.coordinates.flat(2) ?? [];

// Fills the drawing with `plots`, those of `strong` (ids) stood out, and the phone at `here`; gives its frame, or null
// where there is nothing to draw. A `here` far from every plot is left out.
export function drawGround(svg, { plots, strong = new Set(), here = null, pin = null }) {
  const corners = plots.flatMap(({ geometry }) => placesOf(geometry));
  if (!corners.length && !here && !pin) return null;
  const around = frameOf(corners.length ? corners : [[(pin ?? here).lon, (pin ?? here).lat]]);
  const isNear = (place) => {
    const [x, y] = around.toBox([place.lon, place.lat]);
    return x > -WIDE && x < 2 * WIDE && y > -HIGH && y < 2 * HIGH;
  };
  const shown = [here, pin].filter((each) => each && isNear(each)).map(({ lon, lat }) => [lon, lat]);
  const frame = shown.length ? frameOf([...corners, ...shown]) : around;
  const line = (ring) => `M${ring.map((place) => frame.toBox(place).map((each) => each.toFixed(2)).join(" ")).join("L")}Z`;
  const outlines = plots.filter(({ geometry }) => geometry).map(({ id, geometry }) =>
    drawn("path", { class: strong.has(id) ? "ground-plot is-strong" : "ground-plot", d: geometry.coordinates.flat().map(line).join("") }),
  );
  svg.setAttribute("viewBox", `0 0 ${WIDE} ${HIGH}`);
  svg.replaceChildren(...outlines, scaleBar(frame), northMark(), ...(here && isNear(here) ? hereMark(frame, here) : []), ...(pin ? pinMark(frame, pin) : []));
  return frame;
}

function hereMark(frame, here) {
  const [cx, cy] = frame.toBox([here.lon, here.lat]);
  const r = Math.min(30, (here.accuracy_m ?? 0) * frame.boxPerM);
  return [drawn("circle", { class: "ground-about", cx, cy, r }), drawn("circle", { class: "ground-here", cx, cy, r: 1.6 })];
}

// A drop whose tip is the place.
function pinMark(frame, pin) {
  const [x, y] = frame.toBox([pin.lon, pin.lat]);
  return [drawn("path", { class: "ground-pin", d: `M${x} ${y}c-1-3-3-4-3-6.5a3 3 0 0 1 6 0c0 2.5-2 3.5-3 6.5Z` })];
}

function scaleBar(frame) {
  const ft = STEPS_FT.findLast((each) => (each / FT_A_M) * frame.boxPerM <= 30) ?? STEPS_FT[0];
  const wide = (ft / FT_A_M) * frame.boxPerM;
  const words = drawn("text", { class: "ground-words", x: 3, y: HIGH - 3.5 });
  words.textContent = feetText(ft);
  return drawn("g", {}, drawn("path", { class: "ground-scale", d: `M3 ${HIGH - 2}h${wide}` }), words);
}

function northMark() {
  const words = drawn("text", { class: "ground-words", x: WIDE - 5, y: 9 });
  words.textContent = "N";
  return drawn("g", {}, drawn("path", { class: "ground-scale", d: `M${WIDE - 4} 5v-3m-1 1.2l1-1.2l1 1.2` }), words);
}
