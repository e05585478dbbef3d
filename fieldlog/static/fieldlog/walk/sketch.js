// A drawing of the walk without a map: the plot's outline as it stands, the way so far, where it began and where you are.

import { M_A_DEGREE } from "../../plots/units.js";

const SVG = "http://www.w3.org/2000/svg";
const MOST_POINTS = 1_500; // more cannot be seen, and a phone draws this at once
const MARGIN = 0.08;
const LEAST_M = 30;

export class Sketch {
  constructor(svg) {
    this._svg = svg;
    const add = (name, className) => {
      const element = document.createElementNS(SVG, name);
      element.setAttribute("class", className);
      return svg.appendChild(element);
    };
    this._outline = add("path", "sketch-outline");
    this._left = add("path", "sketch-left-out");
    this._closing = add("path", "sketch-closing");
    this._way = add("path", "sketch-way");
    this._start = add("circle", "sketch-start");
    this._here = add("circle", "sketch-here");
  }

  // `outline` is a GeoJSON MultiPolygon or null, `way` the fixes that count, `leftOut` the others.
  draw({ outline = null, way, leftOut = [], isClosed = false }) {
    const rings = outline ? outline.coordinates.flat() : [];
    const all = [...rings.flat(), ...way];
    if (!all.length) return;
    const place = this._frame(all);
    const line = (points) => thin(points).map(place).join("L");
    this._outline.setAttribute("d", rings.map((ring) => `M${line(ring)}Z`).join(""));
    this._way.setAttribute("d", stretches(way).map((stretch) => `M${line(stretch)}`).join(""));
    const dots = (points) => thin(points).map((point) => `M${place(point)}h.01`).join("");
    this._left.setAttribute("d", dots(leftOut));
    this._closing.setAttribute("d", isClosed && way.length > 2 ? `M${place(way.at(-1))}L${place(way[0])}` : "");
    for (const [circle, point] of [[this._start, way[0]], [this._here, way.at(-1)]]) {
      circle.toggleAttribute("hidden", !point);
      if (!point) continue;
      const [x, y] = place(point);
      circle.setAttribute("cx", x);
      circle.setAttribute("cy", y);
      circle.setAttribute("r", 1.4);
    }
  }

  // Everything in a box of 100 by 75, north up, one scale for both ways.
  _frame(points) {
    let [west, south, east, north] = [Infinity, Infinity, -Infinity, -Infinity];
    for (const [lon, lat] of points) {
      west = Math.min(west, lon);
      east = Math.max(east, lon);
      south = Math.min(south, lat);
      north = Math.max(north, lat);
    }
    const squeeze = Math.cos((((south + north) / 2) * Math.PI) / 180);
    const least = LEAST_M / M_A_DEGREE;
    const span = Math.max((east - west) * squeeze, ((north - south) * 100) / 75, least);
    const scale = (100 * (1 - 2 * MARGIN)) / span;
    const [lon0, lat0] = [(west + east) / 2, (south + north) / 2];
    return ([lon, lat]) => [
      (50 + (lon - lon0) * squeeze * scale).toFixed(2),
      (37.5 - (lat - lat0) * scale).toFixed(2),
    ];
  }
}

function thin(points) {
  const step = Math.ceil(points.length / MOST_POINTS);
  return step > 1 ? points.filter((_, i) => i % step === 0 || i === points.length - 1) : points;
}

function stretches(way) {
  const found = [];
  for (const fix of way) {
    if (!found.length || found.at(-1)[0][4] !== fix[4]) found.push([]);
    found.at(-1).push(fix);
  }
  return found;
}
