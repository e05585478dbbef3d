// The page on which a boundary is drawn or corrected: map, buttons, figures, and saving.

import { ask } from "../../site/asking.js";
import { addControls, fitTo, followPage, openMap } from "../map_base.js";
import { acresText } from "../units.js";
import { Around } from "./around.js";
import { Drafts } from "./drafts.js";
import { Drawing, drawingBar } from "./drawing.js";
import { Figures } from "./figures.js";
import { begin } from "./history.js";
import { watchPlace } from "./place.js";
import { fromGeoJSON } from "./shape.js";

const form = document.querySelector("[data-editor]");
const given = JSON.parse(document.getElementById("drawn").textContent);
const part = (name) => form.querySelector(`[data-${name}]`);
const fields = form.elements;

let base = given.boundary; // the boundary that this one replaces
let theirs = null; // the Feature that somebody else has saved meanwhile
let isStored = true; // whether the draft is safe on this device
let isBusy = false;
let offered = null; // the draft that the person is asked about

const map = openMap(part("editor-map"));
const theirLayer = L.geoJSON([], { interactive: false, style: { className: "editor-theirs" } });
const drafts = new Drafts(given);
// In view before anything is drawn: the layers need a place to be drawn at.
showFirst();

const around = new Around(map, {
  address: given.around,
  but: given.plot,
  look: "beside",
  marked: "is-shared",
  namedFrom: 56,
  otherwise: "corners do not snap to them",
  said: (sentence) => { part("saved-words").textContent = sentence; },
  changed: () => drawing.refresh(),
});
const drawing = new Drawing(map, { kind: "area", geometry: given.geometry, neighbours: () => around.features });
let untouched = drawing.shape; // what there is to save once something else is drawn
const figures = new Figures(
  { acres: part("acres"), around: part("around"), acresWords: part("acres-words"), said: part("figures-said") },
  { address: given.measure, plot: given.plot, measured: showFindings },
);
part("bar").append(drawingBar(drawing));
theirLayer.addTo(map);
addControls(map, showAll);
followPage(map, () => {}, () => {});
watchPlace({ map, field: part("place-field"), wrong: part("place-wrong"), go: part("place-go"), here: part("place-here") });

drawing.addEventListener("change", () => {
  hide("questioned", "refused");
  keep();
  figures.measure(drawing.soFar, drawing.isComplete);
});
drawing.addEventListener("drag", () => figures.rough(drawing.soFar));
form.addEventListener("input", ({ target }) => {
  if (target.name) keep();
  if (target.name === "name") wrongName("");
});
form.addEventListener("submit", (event) => {
  event.preventDefault();
  save();
});
part("sure").addEventListener("click", () => save({ is_sure: true }));
part("unsure").addEventListener("click", () => hide("questioned"));
part("two-save").addEventListener("click", () => {
  base = theirs.properties.boundary_id;
  save();
});
part("two-take").addEventListener("click", takeTheirs);
part("two-on").addEventListener("click", () => hide("two"));
part("kept-back").addEventListener("click", bringBack);
part("kept-discard").addEventListener("click", () => {
  drafts.discard(offered.key);
  offer(drafts.newest());
});
addEventListener("beforeunload", (event) => {
  if (!isStored) event.preventDefault();
});

offer(drafts.newest());
figures.measure(drawing.soFar, drawing.isComplete);
form.dataset.ready = "true";

function showFirst() {
  const outline = given.geometry && L.geoJSON(given.geometry).getBounds();
  const extent = given.extent && L.latLngBounds([given.extent[1], given.extent[0]], [given.extent[3], given.extent[2]]);
  if (outline || extent) fitTo(map, (outline ?? extent).pad(0.1))();
  else map.setView([0, 0], map.getMinZoom());
}

function showAll() {
  const bounds = L.latLngBounds([]);
  for (const each of [drawing.bounds, theirLayer.getBounds()]) if (each.isValid()) bounds.extend(each);
  if (bounds.isValid()) fitTo(map, bounds.pad(0.1))();
  else showFirst();
}

// Overlaps, problems and doubts beside the figure.
function showFindings(answer) {
  const list = part("findings");
  const line = (sentence, className = "") => Object.assign(document.createElement("li"), { textContent: sentence, className });
  const isWhole = drawing.isComplete;
  list.replaceChildren(
    ...(isWhole ? answer?.problems ?? [] : []).map((sentence) => line(sentence, "is-problem")),
    ...(answer?.overlaps ?? []).map(({ plot, acres }) => line(`Shares ${acresText(acres)} with ${plot}.`)),
    ...(isWhole ? answer?.doubts ?? [] : []).map((sentence) => line(sentence)),
  );
  list.hidden = !list.children.length;
  around.mark((answer?.overlaps ?? []).map(({ plot_id }) => plot_id));
}

function keep() {
  const [name, why] = [fields.name?.value ?? "", fields.why.value];
  const isUntouched = drawing.shape === untouched && !name && !why;
  if (isUntouched) drafts.discard();
  isStored = isUntouched || drafts.keep({ base, history: drawing.history, name, why });
  part("saved-words").textContent = isStored ? "" : "This device could not keep what you have drawn: save it before you leave.";
}

function offer(draft) {
  offered = draft;
  part("kept").hidden = !draft;
  if (!draft) return;
  const day = new Date(draft.at).toLocaleString(undefined, { dateStyle: "medium", timeStyle: "short" });
  part("kept-words").textContent = `It was drawn on ${day} on this device and was not saved.`;
}

function bringBack() {
  const { key, base: from, history, name, why } = offered;
  base = from;
  if (fields.name) fields.name.value = name;
  fields.why.value = why;
  drawing.takeUp(history); // which keeps it as this page's own
  if (isStored) drafts.discard(key);
  hide("two");
  offer(drafts.newest());
  showAll();
  part("editor-map").focus({ preventScroll: true });
}

async function save({ is_sure = false } = {}) {
  if (isBusy) return;
  hide("questioned", "refused", "signed-out", "two");
  if (!drawing.isComplete) {
    refuse(drawing.openRing ? "Close the outline first: tap its first corner, or press Close." : "Draw the outline first; it needs three corners or more.");
    return;
  }
  if (fields.name && !fields.name.value.trim()) {
    wrongName("Give the plot a name.");
    return;
  }
  const body = { geometry: drawing.geometry, how: "drawn", why: fields.why.value, is_sure };
  if (given.plot === null) body.name = fields.name.value;
  else body.replaces = base;
  busy(true);
  const answer = await ask(given.plot === null ? "POST" : "PUT", given.save, { body });
  if (answer.status === 200 || answer.status === 201) leaveFor(answer.body);
  else {
    busy(false);
    hear(answer);
  }
}

function leaveFor(saved) {
  drafts.discard();
  isStored = true;
  location.assign(given.after.replace("/plots/0/", `/plots/${saved.id}/`));
}

// Why it was not saved.
function hear({ status, body }) {
  const { code, message, fields: wrong } = body?.error ?? {};
  if (code === "questioned") {
    part("questioned-words").textContent = message;
    show("questioned");
    part("questioned-words").focus();
  } else if (code === "boundary_changed" && body.current) meet(body.current, message);
  else if (status === 401) show("signed-out");
  else if (wrong?.name && fields.name) wrongName(wrong.name.join(" "));
  else if (status === 0) refuse("The server could not be reached, so this was not saved. Nothing is lost: it is kept on this device. Save again when there is a connection.");
  else refuse(message ?? `The server answered ${status}, and this was not saved. Nothing is lost: save again.`);
}

// Somebody else was faster: both are drawn, and nothing is decided without the person.
function meet(current, message) {
  theirs = current;
  theirLayer.clearLayers();
  theirLayer.addData(current);
  const { acres, who, at } = current.properties;
  const when = new Date(at).toLocaleString(undefined, { dateStyle: "medium", timeStyle: "short" });
  part("two-words").textContent = message;
  part("two-theirs").textContent = [acres === null ? "acres not known yet" : acresText(acres), who, when].filter(Boolean).join(", ");
  part("two-mine").textContent = figures.said?.acres != null ? acresText(figures.said.acres) : "not measured yet";
  show("two");
  showAll();
  document.getElementById("two-head").focus();
}

// Mine stays on this device, and is offered.
function takeTheirs() {
  keep();
  drafts.beginAnew();
  base = theirs.properties.boundary_id;
  const history = begin(fromGeoJSON("area", theirs.geometry));
  untouched = history.present;
  fields.why.value = "";
  theirs = null;
  theirLayer.clearLayers();
  hide("two");
  drawing.takeUp(history);
  offer(drafts.newest());
}

function refuse(sentence) {
  part("refused-words").textContent = sentence;
  show("refused");
  part("refused-words").focus();
}

function wrongName(sentence) {
  if (!fields.name) return;
  part("name-wrong").textContent = sentence;
  part("name-wrong").hidden = !sentence;
  if (sentence) {
    fields.name.setAttribute("aria-invalid", "true");
    fields.name.focus();
  } else fields.name.removeAttribute("aria-invalid");
}

function busy(isOn) {
  isBusy = isOn;
  part("save").ariaDisabled = String(isOn);
  // what was drawn while the answer is under way would be left behind
  for (const name of ["editor-map", "bar"]) part(name).inert = isOn;
  part("saved-words").textContent = isOn ? "Saving …" : "";
}

function show(name) {
  part(name).hidden = false;
}

function hide(...names) {
  for (const name of names) part(name).hidden = true;
}
