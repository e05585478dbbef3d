// Turns <div class="map" data-record-map data-outlines="address of a GeoJSON"> into a map of ground that changed or is
// shared. Of a feature's properties it reads `what` (first, second, kept, gained, lost, plot, shared), which is its
// look in record.css and its hatch #hatch-<what> of _hatches.html; `name`, and `mark`, its number in the list.
// A button of the page with data-show="<id>" brings that feature into view.

import { featuresAt, sayUndrawn } from "../features.js";
import { addControls, fitTo, followPage, openMap } from "../map_base.js";

const HATCHED = new Set(["gained", "lost", "shared"]);
const MOST_NAMES = 30; // more would hide the ground
const CLOSE = 19; // the zoom at which a foot is a pixel or two

for (const element of document.querySelectorAll("[data-record-map]")) open(element);

async function open(element) {
  const said = element.parentElement.querySelector("[data-map-said]");
  try {
    const features = await featuresAt(element.dataset.outlines);
    draw(element, features.filter((feature) => feature.geometry));
  } catch (error) {
    sayUndrawn(said, error);
  }
}

function draw(element, features) {
  const map = openMap(element);
  const paths = new Map();
  const drawn = L.geoJSON(features, {
    style: ({ properties: { what } }) => ({
      className: `ground ${what}`,
      fillColor: HATCHED.has(what) ? `url(#hatch-${what})` : "transparent",
      fillOpacity: 1,
      interactive: false,
    }),
    onEachFeature: ({ properties: { id } }, path) => paths.set(String(id), path),
  });
  const fit = fitTo(map, drawn.getBounds());
  fit();
  drawn.addTo(map);
  name(paths, features);
  addControls(map, fit);
  followPage(map, fit, () => {});
  listen(map, paths);
  element.dataset.ready = "true";
}

function name(paths, features) {
  const plots = features.filter(({ properties: { what } }) => what === "plot");
  const named = plots.length > MOST_NAMES ? [] : plots;
  const marked = features.filter(({ properties: { mark } }) => mark);
  for (const { properties } of [...named, ...marked]) {
    const label = document.createElement("span");
    label.textContent = properties.mark ?? properties.name;
    paths.get(String(properties.id)).bindTooltip(label, {
      permanent: true,
      direction: "center",
      className: properties.mark ? "ground-mark" : "ground-name",
    });
  }
}

function listen(map, paths) {
  for (const button of document.querySelectorAll("[data-show]")) {
    button.hidden = !paths.has(button.dataset.show);
    button.addEventListener("click", () => {
      map.fitBounds(paths.get(button.dataset.show).getBounds().pad(0.3), { maxZoom: CLOSE });
      map.getContainer().scrollIntoView({ block: "nearest" });
      map.getContainer().focus({ preventScroll: true });
    });
  }
}
