// The place of a landmark, drawn on the map of its form: a point, a line or an area, as its kind is drawn.
//
// What is drawn is kept in the form's hidden field. Typed coordinates go before it, so drawing empties their field.

import { Around } from "./draw/around.js";
import { Drawing, drawingBar } from "./draw/drawing.js";
import { rounded } from "./draw/shape.js";
import { addControls, fitTo, followPage, openMap } from "./map_base.js";
import { FT_A_M } from "./units.js";

const CLOSE = 17; // zoom at which a gate can be told from the tree beside it

const form = document.querySelector("[data-landmark-form]");
const fields = form.elements;
const element = form.querySelector("[data-landmark-map]");
const bar = form.querySelector("[data-landmark-bar]");
const said = form.querySelector("[data-landmark-said]");
const drawnAs = form.querySelector("[data-drawn-as]");
const shapes = JSON.parse(document.getElementById("landmark-shapes").textContent);

element.hidden = false;
const map = openMap(element);
const start = fitTo(map, startBounds());
start();
addControls(map, start);
followPage(map, start, () => {});
new Around(map, {
  address: element.dataset.plots,
  look: "there",
  otherwise: "what you draw is kept",
  said: (sentence, status) => {
    if (status === 0) said.textContent = sentence; // too many to show from so far off is no trouble here
  },
});

let drawing = null;
let kept = element.dataset.geometry ? JSON.parse(element.dataset.geometry) : null;
const SHAPE_OF_TYPE = { Point: "point", LineString: "line", MultiLineString: "line", Polygon: "area", MultiPolygon: "area" };
if (kept && fields.kind.value === "other") fields.drawn_as.value = SHAPE_OF_TYPE[kept.type];
follow();
form.addEventListener("change", ({ target }) => {
  if (target.name === "kind" || target.name === "drawn_as") follow();
});
fields.typed.addEventListener("input", () => {
  said.textContent = fields.typed.value.trim() ? "The typed coordinates count, and not what is drawn." : "";
});
addHere();
element.dataset.ready = "true";

// A drawing of the shape that the kind has. What was drawn as another shape comes back with its kind.
function follow() {
  const fitting = shapes[fields.kind.value] ?? [];
  const kind = fitting.length > 1 ? fields.drawn_as.value || fitting[0] : fitting[0];
  drawnAs.hidden = fitting.length < 2;
  if (drawing?.kind === kind) return;
  if (drawing) {
    kept = drawing.geometry ?? kept;
    drawing.stop();
  }
  drawing = null;
  bar.replaceChildren();
  fields.geometry.value = "";
  if (!kind) {
    said.textContent = "Say what it is, then draw where it lies.";
    return;
  }
  said.textContent = "";
  drawing = new Drawing(map, { kind, geometry: geometryFor(kind) });
  drawing.addEventListener("change", () => {
    fields.typed.value = "";
    keep();
  });
  bar.append(drawingBar(drawing));
  keep();
}

function keep() {
  fields.geometry.value = drawing.isComplete ? JSON.stringify(drawing.geometry) : "";
}

// What is kept, if it is of this shape; of a line in several pieces the form shows the first and says so.
function geometryFor(kind) {
  if (!kept || SHAPE_OF_TYPE[kept.type] !== kind) return null;
  if (kept.type !== "MultiLineString") return kept;
  said.textContent = "This line has several pieces. Saving what is drawn here keeps the first alone.";
  return { type: "LineString", coordinates: kept.coordinates[0] };
}

function startBounds() {
  const { geometry, extent } = element.dataset;
  if (geometry) {
    const bounds = L.geoJSON(JSON.parse(geometry)).getBounds();
    if (!bounds.getNorthEast().equals(bounds.getSouthWest())) return bounds.pad(0.5);
    return bounds.getCenter().toBounds(200);
  }
  if (extent) {
    const [west, south, east, north] = extent.split(",").map(Number);
    return L.latLngBounds([south, west], [north, east]);
  }
  return L.latLngBounds([-55, -170], [70, 170]);
}

// Brings the map to where the phone is, and puts a point there. A line and an area are drawn on from there.
function addHere() {
  const button = form.querySelector("[data-landmark-here]");
  if (!navigator.geolocation || !isSecureContext) return;
  button.hidden = false;
  button.addEventListener("click", () => {
    said.textContent = "Asking the phone where it is.";
    navigator.geolocation.getCurrentPosition(
      ({ coords: { latitude, longitude, accuracy } }) => {
        map.setView([latitude, longitude], Math.max(map.getZoom(), CLOSE), { animate: false });
        if (drawing?.kind === "point") {
          drawing.replaceWith({ type: "Point", coordinates: rounded([longitude, latitude]) });
        }
        const off = Math.round(accuracy * FT_A_M);
        const next = drawing?.kind === "point" ? "Drag the point, or bring the cross to a better place." : "Draw on from the cross.";
        said.textContent = `The phone says that you stand here, give or take ${off} ft. ${next}`;
      },
      ({ message }) => {
        said.textContent = `The phone does not say where it is (${message || "no reason given"}). Tap the place, or type its coordinates.`;
      },
      { enableHighAccuracy: true, timeout: 20000, maximumAge: 0 },
    );
  });
}
