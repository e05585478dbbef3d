// The map of a walk. Points are drawn on a canvas, since there may be thousands; a canvas knows no stylesheet, so each
// kind's look is read off a hidden element that has its classes.

import { featuresAt, sayUndrawn } from "../plots/features.js";
import { addControls, fitTo, followPage, openMap } from "../plots/map_base.js";
import { svg } from "../plots/map_looks.js";

const RADIUS = { used: 2.5, worse: 5, jumped: 6, still: 2 };
const ORDER = ["there", "now", "still", "worse", "jumped", "walked", "used"];

const element = document.querySelector("[data-walk-map]");
const said = document.querySelector("[data-map-said]");
begin();

async function begin() {
  try {
    const features = await featuresAt(element.dataset.track);
    draw(features.sort((a, b) => ORDER.indexOf(a.properties.kind) - ORDER.indexOf(b.properties.kind)));
  } catch (error) {
    sayUndrawn(said, error);
  }
}

function draw(features) {
  const map = openMap(element);
  const canvas = L.canvas({ padding: 0.3 });
  const probes = document.body.appendChild(svg("svg", { class: "hatches", "aria-hidden": "true" }));
  const lookOf = (kind) => {
    const probe = probes.appendChild(svg("circle", { class: `fix ${kind}` }));
    const { stroke, fill, strokeWidth, strokeDasharray } = getComputedStyle(probe);
    probe.remove();
    return {
      renderer: canvas,
      interactive: false,
      radius: RADIUS[kind],
      stroke: stroke !== "none",
      color: stroke,
      weight: parseFloat(strokeWidth),
      dashArray: strokeDasharray === "none" ? null : strokeDasharray.replaceAll("px", ""),
      fill: fill !== "none",
      fillColor: fill,
      fillOpacity: 1,
    };
  };
  const looks = Object.fromEntries(Object.keys(RADIUS).map((kind) => [kind, lookOf(kind)]));
  const layer = L.geoJSON(features, {
    interactive: false,
    style: ({ properties: { kind } }) => (kind in RADIUS ? {} : { className: `outline ${kind}` }),
    pointToLayer: ({ properties: { kind } }, place) => L.circleMarker(place, looks[kind]),
  });
  // What is around shows where it lies, and would make it too small to see.
  const shown = L.featureGroup(layer.getLayers().filter(({ feature }) => feature.properties.kind !== "there"));
  const fit = fitTo(map, shown.getBounds());
  fit();
  layer.addTo(map);
  addControls(map, fit);
  followPage(map, fit, () => {
    layer.eachLayer((group) => {
      const { kind } = group.feature.properties;
      if (kind in RADIUS) group.eachLayer((marker) => marker.setStyle(lookOf(kind)));
    });
  });
  element.dataset.ready = "true";
}
