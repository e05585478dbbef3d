// The map of a visit: the plot, where the person stood, what was read where, and where pictures were taken.

import { addControls, fitTo, followPage, openMap } from "../plots/map_base.js";

const RADIUS = { visit: 8, reading: 7, photo: 5 };

const element = document.querySelector("[data-visit-map]");
const spots = JSON.parse(document.getElementById("visit-spots").textContent);
draw();

function draw() {
  const map = openMap(element);
  const layer = L.geoJSON(spots, {
    style: ({ properties: { kind } }) => ({ className: kind === "plot" ? "outline plain" : `spot ${kind}`, interactive: kind !== "plot" }),
    pointToLayer: ({ properties: { kind, title } }, place) =>
      L.circleMarker(place, { radius: RADIUS[kind], className: `spot ${kind}` }).bindTooltip(asText(title)),
  });
  const fit = fitTo(map, layer.getBounds());
  fit();
  layer.addTo(map);
  addControls(map, fit);
  followPage(map, fit, () => {});
  element.dataset.ready = "true";
}

function asText(title) {
  const text = document.createElement("span");
  text.textContent = title;
  return text;
}
