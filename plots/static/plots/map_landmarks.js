// Landmarks as a quiet layer of a map whose element has data-landmarks (the address of their GeoJSON) and
// data-glyphs (landmarks.svg): those in view, a button that hides them, and what each glyph means.
//
// On a map to look at (data-map) a landmark says its name and note when it is chosen. On a map to draw on it lets
// every tap through. data-but names one that is left out, since it is being drawn.

import { Latest } from "../site/asking.js";
import { recall, remember } from "../site/memory.js";
import { isAfar, PIN, widestPlace } from "./map_labels.js";
import { svg } from "./map_looks.js";
import { bboxOf, latLngOf } from "./places.js";

const PAUSE_MS = 250;
const BEYOND = 0.5; // of the view, fetched with it, so that small moves ask for nothing
const HIDDEN = "swardbook.landmarks.hidden";
const HATCH = "landmark-hatch";

export function showLandmarks(map) {
  const element = map.getContainer();
  const { landmarks: address, glyphs, but, map: isToLookAt } = element.dataset;
  if (!address) return;
  const layer = new Landmarks(map, { glyphs, but, isInteractive: isToLookAt !== undefined });
  const key = keyOf(layer, glyphs);
  const question = new Latest();
  let loaded = null; // the bounds that the layer has everything of

  async function moved(pause_ms) {
    const view = map.getBounds();
    if (loaded === "all" || loaded?.contains(view)) {
      question.drop(); // it was about a view that was left again
      return;
    }
    const bounds = view.pad(BEYOND);
    const answer = await question.ask("GET", `${address}?bbox=${bboxOf(bounds)}`, { pause_ms });
    if (answer?.status !== 200) return; // without signal the map does without them
    const { features, is_all: isAll, left_out: leftOut } = answer.body;
    layer.show(features);
    key.show(layer.kinds, leftOut);
    map.fire("landmarks");
    loaded = isAll ? "all" : leftOut ? null : bounds;
    element.dataset.landmarksShown = features.length;
  }
  const size = () => element.classList.toggle("is-afar", isAfar(map));
  map.whenReady(size);
  map.on("zoomend", size);
  map.whenReady(() => moved(0));
  map.on("moveend", () => moved(PAUSE_MS));
  map.on("unload", () => question.drop());
}

class Landmarks {
  constructor(map, { glyphs, but, isInteractive }) {
    Object.assign(this, { map, glyphs, but, isInteractive, kinds: [] });
    for (const name of ["landmarks", "landmark-glyphs"]) map.createPane(name);
    this.renderer = L.svg({ pane: "landmarks" });
    this.group = L.layerGroup();
    addHatch();
    this.setShown(!recall(HIDDEN));
  }

  setShown(isShown) {
    this.isShown = isShown;
    if (isShown) this.group.addTo(this.map);
    else this.group.remove();
    this.map.fire("landmarks");
  }

  show(features) {
    const shown = features.filter(({ id }) => String(id) !== this.but);
    this.kinds = [...new Map(shown.map(({ properties: { kind, words } }) => [kind, words]))];
    this.group.clearLayers();
    for (const feature of shown) this.draw(feature);
  }

  draw({ geometry, properties }) {
    const { kind } = properties;
    const layers = [];
    if (geometry.type === "Point") layers.push(this.glyph(kind, latLngOf(geometry.coordinates)));
    else {
      const isArea = geometry.type.endsWith("Polygon");
      for (const className of isArea ? [`landmark-area ${kind}`] : [`landmark-casing ${kind}`, `landmark-line ${kind}`]) {
        const options = { pane: "landmarks", renderer: this.renderer, className, interactive: this.isInteractive };
        if (isArea) Object.assign(options, { fillColor: kind === "keep_out" ? `url(#${HATCH})` : "transparent", fillOpacity: 1 });
        layers.push(L.geoJSON(geometry, { style: options, ...options }));
      }
      layers.push(this.glyph(kind, middleOf(geometry)));
    }
    for (const layer of layers) {
      if (this.isInteractive) layer.bindPopup(() => noteOf(properties), { maxWidth: 260, autoPanPadding: [12, 12] });
      this.group.addLayer(layer);
    }
  }

  glyph(kind, latlng) {
    const icon = L.divIcon({ className: "landmark-pin", iconSize: [PIN, PIN], html: glyphOf(this.glyphs, kind) });
    return L.marker(latlng, { icon, pane: "landmark-glyphs", interactive: this.isInteractive, keyboard: false });
  }
}

function glyphOf(glyphs, kind) {
  return svg("svg", { class: `landmark-glyph ${kind}`, "aria-hidden": "true" }, svg("use", { href: `${glyphs}#${kind}` }));
}

// On a line the middle of its corners; in an area its widest place.
function middleOf({ type, coordinates }) {
  if (type === "LineString") return cornerInMiddle(coordinates);
  if (type === "MultiLineString") return cornerInMiddle(longest(coordinates));
  const rings = type === "Polygon" ? coordinates : coordinates.flat();
  return latLngOf(widestPlace(rings) ?? rings[0][0]);
}

const longest = (items) => items.reduce((best, each) => (each.length > best.length ? each : best));

function cornerInMiddle(corners) {
  if (corners.length > 2) return latLngOf(corners[Math.floor(corners.length / 2)]);
  const [[x1, y1], [x2, y2]] = corners;
  return [(y1 + y2) / 2, (x1 + x2) / 2];
}

// The name, what it is and the note, all as text: people typed them.
function noteOf({ title, words, note, href }) {
  const told = document.createElement("div");
  const head = document.createElement(href ? "a" : "strong");
  head.textContent = title;
  if (href) head.href = href;
  const what = document.createElement("span");
  what.className = "muted";
  what.textContent = title === words ? "" : ` ${words}`;
  const said = document.createElement("p");
  said.textContent = note;
  told.append(head, what, ...(note ? [said] : []));
  return told;
}

// Stripes far broader than those of any plot, in a tile of their own.
function addHatch() {
  if (document.getElementById(HATCH)) return;
  const stripes = svg("path", { class: "landmark-hatch-lines", d: "M-5 5L5-5M0 20L20 0M15 25L25 15" });
  const pattern = svg("pattern", { id: HATCH, width: 20, height: 20, patternUnits: "userSpaceOnUse" }, stripes);
  document.body.append(svg("svg", { class: "hatches", "aria-hidden": "true" }, svg("defs", {}, pattern)));
}

// The switch and the key beside "Show all", where they cover least; there once there is something to hide.
function keyOf(layer, glyphs) {
  const { map } = layer;
  const box = document.createElement("details");
  box.className = "landmark-key";
  const summary = document.createElement("summary");
  summary.title = "Landmarks";
  const words = document.createElement("span");
  words.textContent = "Landmarks";
  summary.append(glyphOf(glyphs, "gate"), words);
  const panel = document.createElement("div");
  const label = document.createElement("label");
  label.className = "choice";
  const tick = Object.assign(document.createElement("input"), { type: "checkbox", checked: layer.isShown });
  label.append(tick, "Show them");
  const list = document.createElement("ul");
  const more = document.createElement("p");
  more.className = "small";
  panel.append(label, list, more);
  box.append(summary, panel);
  box.addEventListener("keydown", (event) => {
    if (event.key !== "Escape" || !box.open) return;
    event.stopPropagation();
    box.open = false;
    summary.focus();
  });
  map.on("click", () => {
    box.open = false;
  });
  tick.addEventListener("change", () => {
    layer.setShown(tick.checked);
    remember(HIDDEN, tick.checked ? null : true);
  });
  // On paper there is nothing to press: the key is open there.
  let wasOpen = false;
  addEventListener("beforeprint", () => {
    wasOpen = box.open;
    box.open = true;
  });
  addEventListener("afterprint", () => {
    box.open = wasOpen;
  });
  L.DomEvent.disableClickPropagation(box).disableScrollPropagation(box);
  const control = L.control({ position: "bottomright" });
  control.onAdd = () => box;
  let isAdded = false;
  return {
    show(kinds, leftOut) {
      if (!kinds.length && !isAdded) return;
      if (!isAdded) control.addTo(map);
      isAdded = true;
      list.replaceChildren(
        ...kinds.map(([kind, words]) => {
          const item = document.createElement("li");
          item.append(glyphOf(glyphs, kind), words);
          return item;
        }),
      );
      more.textContent = leftOut ? `${leftOut} more here; come closer to see them.` : "";
    },
  };
}
