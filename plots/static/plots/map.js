// Turns <div class="map" data-map data-outlines="address of a GeoJSON" data-kind="overview|plot|import"> into a
// map: outlines on plain paper with a scale bar and north. Include plots/_map.html, _map_styles.html
// and _map_scripts.html.
//
// data-views="all" asks for the outlines in view only, at first in data-extent="west,south,east,north"; "near" does so
// from near. The event "map-asks" with { outlines, extent } in its detail shows other outlines of the same property.
//
// Of a feature's properties it reads `id` and `name`, and where there are any `acres`, `blend`, `stage` and `visited`
// (words), `mark` (the label on the plot), `look` (tint-0 … tint-7, step-0 … step-3, unknown, fallow, undecided, there,
// or plain) and `href` (the plot's page). Outlines that look `there` are ground that is there already: drawn, not chosen.
// A feature with `ids` is many plots that are too small to draw, as points. One without a name is asked for when chosen.
// An element of the page with data-outline="<id>" is the outline's row: each selects the other.

import { sayUndrawn } from "./features.js";
import { addControls, fitTo, followPage, openMap } from "./map_base.js";
import { labelLayer } from "./map_labels.js";
import { addHatches, lookOf, looksFor } from "./map_looks.js";
import { listenToRows, markRow, showRow } from "./map_rows.js";
import { outlineSource } from "./map_source.js";

const MOST_IN_SVG = 500; // beyond it a canvas is faster
const SPECK = 24; // pixels
const CROWDED = 2000; // points of a look; of more each is drawn smaller

for (const element of document.querySelectorAll("[data-map]")) open(element);

async function open(element) {
  const said = element.parentElement.querySelector("[data-map-said]");
  const source = outlineSource(element.dataset);
  addHatches();
  try {
    let extent = extentIn(element.dataset.extent);
    const features = source.asksAlwaysByView ? [] : await source.featuresFor();
    extent ??= extentOf(features);
    if (!extent) {
      said.textContent = "No plot has a boundary yet, so there is nothing to draw.";
      return;
    }
    const isMany = source.asksAlwaysByView || features.length > MOST_IN_SVG;
    const map = openMap(element, { renderer: isMany ? L.canvas({ tolerance: 4 }) : L.svg() });
    const fit = () => fitTo(map, extent)();
    fit();
    const outlines = outlinesOn(map, source, said);
    let asked = 0;
    const load = async () => {
      const mine = (asked += 1);
      const isLatest = () => mine === asked;
      try {
        element.setAttribute("aria-busy", "true");
        const found = await source.featuresFor(map);
        if (found && isLatest()) outlines.show(found);
      } catch (error) {
        if (isLatest()) sayUndrawn(said, error);
      } finally {
        if (isLatest()) element.removeAttribute("aria-busy");
      }
    };
    addControls(map, fit); // before the outlines, whose names make way for them
    outlines.show(features);
    followPage(map, fit, outlines.repaint);
    await load();
    map.on("moveend", load);
    element.addEventListener("map-asks", ({ detail }) => {
      source.ask(detail.outlines);
      extent = extentIn(detail.extent) ?? extent;
      map.off("moveend", load);
      fit();
      map.on("moveend", load);
      load();
    });
    element.dataset.ready = "true";
  } catch (error) {
    sayUndrawn(said, error);
  }
}

function extentIn(text) {
  const [west, south, east, north] = (text ?? "").split(",").map(Number);
  return north === undefined ? null : L.latLngBounds([south, west], [north, east]);
}

// Of what can be chosen, or of everything where nothing can.
function extentOf(features) {
  const drawn = features.filter((feature) => feature.geometry);
  const own = drawn.filter((feature) => lookOf(feature) !== "there");
  const bounds = L.geoJSON(own.length ? own : drawn).getBounds();
  return bounds.isValid() ? bounds : null;
}

// The outlines on the map, their labels and their rows. One outline is hot (pointed at) and one is chosen (clicked);
// both stay so while other outlines are shown.
function outlinesOn(map, source, said) {
  const looks = looksFor(map.options.renderer);
  const paths = new Map();
  const layer = L.featureGroup().addTo(map);
  const labels = labelLayer();
  map.addLayer(labels);
  const now = { hot: null, chosen: null };
  const isBesideList = map.getContainer().dataset.kind === "overview";

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
  const choose = async (id, { isFromRow = false } = {}) => {
    set("chosen", id);
    if (!isFromRow && isBesideList) showRow(id);
    let path = paths.get(id);
    if (!path?.feature.properties.name) {
      if (!isBesideList) return;
      try {
        const feature = await source.one(id);
        if (now.chosen !== id) return;
        if (!feature) {
          said.textContent = "This plot has no boundary, so it has no place on the map.";
          return;
        }
        path = L.geoJSON(feature);
        path.feature = feature;
      } catch (error) {
        said.textContent = `What this plot is could not be asked (${error.message}). Try again.`;
        return;
      }
    }
    say(said, path.feature.properties);
    if (isFromRow) bringIntoView(map, path.getBounds());
  };

  const add = (path, { id, look = "plain" }) => {
    path.feature ??= { properties: { id, look } };
    path.options.interactive = look !== "there";
    const key = String(id);
    paths.set(key, path);
    if (path.options.interactive) {
      path.on({ mouseover: () => hot(key), mouseout: () => hot(null), click: () => choose(key) });
    }
    layer.addLayer(path);
  };
  const addFeature = (feature) => {
    const { ids, look, name } = feature.properties;
    if (ids) {
      const options = looks.speck(look, {}, ids.length > CROWDED);
      feature.geometry.coordinates.forEach(([lon, lat], i) => {
        add(L.circleMarker([lat, lon], options), { id: ids[i], look });
      });
    } else if (feature.geometry) {
      const path = L.GeoJSON.geometryToLayer(feature);
      path.feature = feature;
      path.setStyle(looks.options(lookOf(feature), {}, !name));
      add(path, feature.properties);
    }
  };

  listenToRows({ hot, choose: (id) => choose(id, { isFromRow: true }) });
  return {
    show(features) {
      layer.clearLayers();
      paths.clear();
      features.forEach(addFeature);
      labels.show(features);
      map.getContainer().classList.toggle("has-specks", features.some((feature) => feature.properties.ids));
      for (const id of new Set(Object.values(now))) if (id !== null) paint(id);
    },
    repaint() {
      looks.forget();
      for (const id of paths.keys()) paint(id);
    },
  };
}

// Moves as little as it takes to see the outline, and closer where it would be a speck.
function bringIntoView(map, bounds) {
  const corner = map.latLngToLayerPoint(bounds.getSouthEast()).subtract(map.latLngToLayerPoint(bounds.getNorthWest()));
  if (Math.max(corner.x, corner.y) < SPECK) map.fitBounds(bounds.pad(3));
  else if (!map.getBounds().contains(bounds)) map.panInside(bounds.getCenter(), { padding: [60, 60] });
}

function say(said, { name, acres, blend, stage, visited, href }) {
  const title = document.createElement(href ? "a" : "strong");
  title.textContent = name;
  if (href) title.href = href;
  const facts = [acres, blend, stage, visited].filter(Boolean).join(" · ");
  said.replaceChildren(title, facts ? ` ${facts}` : "");
}
