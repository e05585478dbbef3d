// The page on which a plot is split: a line is drawn, the server tells the pieces, each gets its name.

import { Latest } from "../../site/asking.js";
import { recall, remember } from "../../site/memory.js";
import { addControls, fitTo, followPage, openMap } from "../map_base.js";
import { wordsOn } from "../map_labels.js";
import { addHatches } from "../map_looks.js";
import { Around } from "../draw/around.js";
import { Drawing, drawingBar } from "../draw/drawing.js";
import { acresText } from "../units.js";
import { sayIn } from "./said.js";

const PAUSE_MS = 180;
const TINTS = 8;

const form = document.querySelector("[data-split]");
const given = JSON.parse(document.getElementById("given").textContent);
const part = (name) => form.querySelector(`[data-${name}]`);
const draftKey = `swardbook split ${given.person} ${given.plot} ${given.boundary}`;
const hint = part("said").firstElementChild;

addHatches();
const map = openMap(part("split-map"));
const own = L.geoJSON(given.geometry, { interactive: false, style: { className: "reshape-own" } });
const fit = fitTo(map, own.getBounds().pad(0.25));
fit();
const pieceLayer = L.layerGroup().addTo(map);
own.addTo(map);
new Around(map, { address: given.around, but: given.plot, look: "beside", namedFrom: 56 });
const drawing = new Drawing(map, {
  kind: "line",
  geometry: given.line?.type === "LineString" ? given.line : recall(draftKey), // as it was when the page was left, of this boundary alone
  neighbours: () => [{ geometry: given.geometry, properties: { name: given.name } }],
});
part("bar").append(drawingBar(drawing));
addControls(map, fit);
followPage(map, fit, () => {});

let pieces = [];
let names = given.names; // as typed, piece by piece
const question = new Latest();
const say = sayIn(part("said"));

drawing.addEventListener("change", tell);
form.addEventListener("change", ({ target }) => target.name === "keeps" && showKeeper());
form.addEventListener("input", rememberNames);
form.addEventListener("submit", (event) => {
  if (event.submitter?.value === "undo") return;
  rememberNames();
  part("line").value = drawing.geometry ? JSON.stringify(drawing.geometry) : "";
  if (pieces.length) return;
  event.preventDefault();
  say(drawing.geometry ? "The line does not cut through the plot yet." : "Draw the line first.", true);
  map.getContainer().focus({ preventScroll: true });
});
tell();
form.dataset.ready = "true";

function tell() {
  remember(draftKey, drawing.geometry); // null forgets a line that was taken back
  question.drop();
  const line = drawing.geometry;
  if (!line) {
    show([]);
    say(hint.textContent);
    return;
  }
  say("Cutting …");
  tryOut(line);
}

async function tryOut(line) {
  const answer = await question.ask("POST", given.try, { body: { line, replaces: given.boundary, dry: true }, pause_ms: PAUSE_MS });
  if (!answer) return;
  const { status, body } = answer;
  show(status === 200 ? body.pieces : []);
  if (status === 200) hear(body);
  else if (status === 401) say("You are signed out. Sign in in another tab; the line is kept on this device.", true);
  else if (body?.error?.code === "boundary_changed") say(`${body.error.message} Load this page again: the line is kept on this device.`, true);
  else say(body?.error?.message ?? "The server could not be reached, so the pieces are not known. The line is kept on this device.", true);
}

function hear({ problems, pieces: found, untouched_parts: parts, untouched_acres: acres }) {
  say(problems[0] ?? `${found.length} pieces.`, problems.length > 0);
  const untouched = part("untouched");
  untouched.hidden = !parts;
  untouched.textContent = `${parts === 1 ? "A part" : `${parts} parts`} of ${acresText(acres)} that the line does not touch stay${parts === 1 ? "s" : ""} with ${given.name}.`;
}

// The pieces on the map, each in its hatch, and their names.
function show(found) {
  const keeper = names.length === found.length ? (keeperNow() ?? given.keeps) : 0;
  const isSame = names.length === found.length;
  pieces = found;
  pieceLayer.clearLayers();
  const rows = found.map((piece, i) => {
    const tint = `tint-${i % TINTS}`;
    L.geoJSON(piece.geometry, { interactive: false, style: { className: `outline ${tint}`, fillColor: `url(#hatch-${tint})`, fillOpacity: 1, weight: 2 } }).addTo(pieceLayer);
    wordsOn(piece.geometry, "reshape-number", String(i + 1)).addTo(pieceLayer);
    return row(piece, i, isSame ? names[i] : piece.name ?? "", i === keeper);
  });
  part("piece-list").replaceChildren(...rows);
  part("pieces").hidden = !found.length;
  if (found.length) showKeeper();
}

function row({ acres, name }, i, typed, keeps) {
  const item = document.querySelector("[data-piece]").content.cloneNode(true).firstElementChild;
  const [swatch, radio, field] = [item.querySelector("rect"), item.querySelector("[name=keeps]"), item.querySelector("[name=name]")];
  swatch.classList.add(`tint-${i % TINTS}`);
  swatch.setAttribute("fill", `url(#hatch-tint-${i % TINTS})`);
  item.querySelector("[data-acres]").textContent = `${i + 1}. ${acresText(acres)}`;
  item.querySelector("[data-name-label]").textContent = `Name of piece ${i + 1}`;
  Object.assign(radio, { value: String(i), checked: keeps });
  field.value = typed;
  field.dataset.proposed = name ?? `${given.name} ${i + 2}`;
  return item;
}

function keeperNow() {
  const chosen = form.querySelector("[name=keeps]:checked");
  return chosen ? Number(chosen.value) : null;
}

// The one that keeps the name has no field for another.
function showKeeper() {
  for (const item of part("piece-list").children) {
    const field = item.querySelector("[name=name]");
    const keeps = item.querySelector("[name=keeps]").checked;
    item.querySelector(".reshape-name").hidden = keeps;
    if (!keeps && !field.value) field.value = freeName(field.dataset.proposed);
  }
  rememberNames();
}

// A proposal that no other piece bears: the piece that kept the name until now gets another's.
function freeName(proposed) {
  const taken = new Set([...form.querySelectorAll("[name=name]")].map(({ value }) => value.toLowerCase()));
  let [name, number] = [proposed, pieces.length + 1];
  while (taken.has(name.toLowerCase())) name = `${given.name} ${number++}`;
  return name;
}

function rememberNames() {
  names = [...form.querySelectorAll("[name=name]")].map(({ value }) => value);
}
