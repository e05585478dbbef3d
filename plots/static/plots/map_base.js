// What every map of the site is: a Leaflet map on plain paper with pictures of the ground if there are any, a scale
// bar, north, and a button that shows everything.

import { addBackdrop } from "./backdrop.js";
import { showLandmarks } from "./map_landmarks.js";
import { svg } from "./map_looks.js";

// Pixels kept free around the outlines for zoom buttons, north and the scale bar.
const FRAME = { paddingTopLeft: [32, 20], paddingBottomRight: [20, 52] };

// A map in the element, without a view yet.
export function openMap(element, { renderer = L.svg() } = {}) {
  const isCalm = matchMedia("(prefers-reduced-motion: reduce)").matches;
  const map = L.map(element, {
    renderer,
    attributionControl: false,
    scrollWheelZoom: false,
    zoomAnimation: !isCalm,
    inertia: !isCalm,
    zoomSnap: 0.25,
    minZoom: 4,
    maxZoom: 22,
  });
  addBackdrop(map, element.dataset);
  wheelOnlyWithFocus(map);
  showLandmarks(map);
  return map;
}

// A function that shows the bounds inside the frame.
export const fitTo = (map, bounds) => () => map.fitBounds(bounds, { ...FRAME, maxZoom: 19, animate: false });

export function addControls(map, fit) {
  L.control.scale({ position: "bottomleft", maxWidth: 140 }).addTo(map);
  const whole = document.createElement("button");
  whole.type = "button";
  whole.className = "map-whole";
  whole.textContent = "Show all";
  whole.title = "Show everything";
  whole.addEventListener("click", fit);
  const arrow = svg("path", { d: "M13 2L20 22L13 17L6 22Z" });
  const letter = svg("path", { class: "letter", d: "M8 40V28L18 40V28" });
  const north = svg("svg", { class: "map-north", viewBox: "0 0 26 42", role: "img", "aria-label": "North is up" });
  north.append(arrow, letter);
  for (const [position, child] of [["topright", north], ["bottomright", whole]]) {
    L.DomEvent.disableClickPropagation(child);
    const control = L.control({ position });
    control.onAdd = () => child;
    control.addTo(map);
  }
}

// A wheel over the map scrolls the page until the map has the focus.
function wheelOnlyWithFocus(map) {
  const element = map.getContainer();
  element.addEventListener("focusin", () => map.scrollWheelZoom.enable());
  element.addEventListener("focusout", () => map.scrollWheelZoom.disable());
}

// The map keeps its frame when its box changes, on paper too; and is painted anew in another theme.
export function followPage(map, fit, repaint) {
  new ResizeObserver(() => map.invalidateSize({ animate: false })).observe(map.getContainer());
  matchMedia("print").addEventListener("change", () => {
    map.invalidateSize({ animate: false });
    fit();
  });
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", repaint);
}
