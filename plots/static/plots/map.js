// Turns <div class="map" data-map data-outlines="address of a GeoJSON" data-kind="overview|plot|import"> into a
// map: outlines on plain paper with a scale bar and north. Include plots/_map.html, _map_styles.html
// and _map_scripts.html.
//
// Of a feature's properties it reads `id` and `name`, and where there are any `acres`, `blend` and `stage`
// (words), `mark` (the label on the plot), `look` (tint-0 … tint-7, fallow, undecided, there, or plain) and
// `href` (the plot's page). Outlines that look `there` are ground that is there already: drawn, not chosen.
// An element of the page with data-outline="<id>" is the outline's row: each selects the other.

import { labelLayer } from "./map_labels.js";
import { addHatches, lookOf, looksFor, svg } from "./map_looks.js";
import { listenToRows, markRow, showRow } from "./map_rows.js";

// Pixels kept free around the outlines for zoom buttons, north and the scale bar.
const FRAME = { paddingTopLeft: [32, 20], paddingBottomRight: [20, 52] };
const MOST_IN_SVG = 500; // beyond it a canvas is faster
const SPECK = 24; // pixels

for (const element of document.querySelectorAll("[data-map]")) open(element);

async function open(element) {
  const said = element.parentElement.querySelector("[data-map-said]");
  addHatches();
  try {
    const answer = await fetch(element.dataset.outlines, { redirect: "error" });
    if (!answer.ok) throw new Error(`the server answered ${answer.status}`);
    const { features } = await answer.json();
    if (features.some((feature) => feature.geometry)) draw(element, said, features);
    else said.textContent = "No plot has a boundary yet, so there is nothing to draw.";
  } catch (error) {
    said.textContent = `The map could not be drawn (${error.message}). The page has the same facts in writing.`;
    throw error;
  }
}

function draw(element, said, features) {
  const renderer = features.length > MOST_IN_SVG ? L.canvas({ tolerance: 4 }) : L.svg();
  const looks = looksFor(renderer);
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
  const paths = new Map();
  const outlines = L.geoJSON(features, {
    style: (feature) => looks.options(lookOf(feature)),
    onEachFeature: (feature, path) => {
      path.options.interactive = lookOf(feature) !== "there";
      paths.set(String(feature.properties.id), path);
    },
  });
  const chosenFrom = [...paths.values()].filter((path) => path.options.interactive);
  const bounds = (chosenFrom.length ? L.featureGroup(chosenFrom) : outlines).getBounds();
  const fit = () => map.fitBounds(bounds, { ...FRAME, maxZoom: 19, animate: false });
  fit();
  addImagery(map, element.dataset);
  outlines.addTo(map);
  map.addLayer(labelLayer(features));
  addControls(map, fit);
  wheelOnlyWithFocus(map);
  const paint = connect(map, paths, looks, said);
  followPage(map, fit, () => {
    looks.forget();
    for (const id of paths.keys()) paint(id);
  });
  element.dataset.ready = "true";
}

// Pictures of the ground, from the server that the owner of this installation has named.
function addImagery(map, { imagery, credit, zoom }) {
  if (!imagery) return;
  L.tileLayer(imagery, { maxNativeZoom: Number(zoom), maxZoom: 22 }).addTo(map);
  const words = document.createElement("span");
  words.textContent = credit;
  L.control.attribution({ prefix: false, position: "bottomright" }).addAttribution(words.innerHTML).addTo(map);
}

function addControls(map, fit) {
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

// One outline is hot (pointed at) and one is chosen (clicked); their rows are marked with them.
function connect(map, paths, looks, said) {
  const now = { hot: null, chosen: null };
  const paint = (id) => {
    const path = paths.get(id);
    const states = { "is-hot": id === now.hot, "is-chosen": id === now.chosen };
    if (path) {
      looks.mark(path, states);
      if (states["is-hot"] || states["is-chosen"]) path.bringToFront();
    }
    for (const [state, on] of Object.entries(states)) markRow(id, state, on);
  };
  const set = (state, id) => {
    if (now[state] === id) return;
    const before = now[state];
    now[state] = id;
    for (const each of [before, id]) if (each !== null) paint(each);
  };
  const hot = (id) => set("hot", id);
  const choose = (id) => {
    const path = paths.get(id);
    if (!path) return;
    set("chosen", id);
    say(said, path.feature.properties);
  };
  const chooseFromRow = (id) => {
    choose(id);
    if (paths.has(id)) bringIntoView(map, paths.get(id).getBounds());
  };
  const isBesideList = map.getContainer().dataset.kind === "overview";
  for (const [id, path] of paths) {
    path.on({ mouseover: () => hot(id), mouseout: () => hot(null), click: () => { choose(id); if (isBesideList) showRow(id); } });
  }
  listenToRows({ hot, choose: chooseFromRow });
  return paint;
}

// Moves as little as it takes to see the outline, and closer where it would be a speck.
function bringIntoView(map, bounds) {
  const corner = map.latLngToLayerPoint(bounds.getSouthEast()).subtract(map.latLngToLayerPoint(bounds.getNorthWest()));
  if (Math.max(corner.x, corner.y) < SPECK) map.fitBounds(bounds.pad(3));
  else if (!map.getBounds().contains(bounds)) map.panInside(bounds.getCenter(), { padding: [60, 60] });
}

function say(said, { name, acres, blend, stage, href }) {
  const title = document.createElement(href ? "a" : "strong");
  title.textContent = name;
  if (href) title.href = href;
  const facts = [acres, blend, stage].filter(Boolean).join(" · ");
  said.replaceChildren(title, facts ? ` ${facts}` : "");
}

// The map keeps its frame when its box changes, on paper too; a canvas is painted anew in another theme.
function followPage(map, fit, repaint) {
  new ResizeObserver(() => map.invalidateSize({ animate: false })).observe(map.getContainer());
  matchMedia("print").addEventListener("change", () => {
    map.invalidateSize({ animate: false });
    fit();
  });
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", repaint);
}
