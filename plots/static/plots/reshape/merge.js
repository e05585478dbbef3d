// The page on which plots are merged: chosen in the list or on the map, and told together before it is done.

import { Latest } from "../../site/asking.js";
import { addControls, fitTo, followPage, openMap } from "../map_base.js";
import { addHatches } from "../map_looks.js";
import { Around } from "../draw/around.js";
import { acresText } from "../units.js";
import { sayIn } from "./said.js";

const PAUSE_MS = 180;

const form = document.querySelector("[data-merge]");
const given = JSON.parse(document.getElementById("given").textContent);
const part = (name) => form.querySelector(`[data-${name}]`);
const boxes = () => [...form.querySelectorAll("[name=others]")];
const chosen = () => boxes().filter(({ checked }) => checked).map(({ value }) => Number(value));
const hint = part("said").firstElementChild.textContent;

addHatches();
const map = openMap(part("merge-map"));
const own = L.geoJSON(given.geometry, { interactive: false, style: { className: "outline tint-0", fillColor: "url(#hatch-tint-0)", fillOpacity: 1, weight: 2 } });
const wholeLayer = L.geoJSON([], { interactive: false, style: { className: "reshape-whole" } });
const fit = () => {
  const bounds = wholeLayer.getBounds();
  fitTo(map, (bounds.isValid() ? bounds : own.getBounds()).pad(0.6))();
};
fit();
own.addTo(map);
wholeLayer.addTo(map);
const say = sayIn(part("said"));
const others = new Around(map, {
  address: given.around,
  but: given.plot,
  look: "reshape-other",
  marked: "is-taken",
  namedFrom: 44,
  otherwise: "choose in the list",
  said: (sentence) => sentence && say(sentence, true),
  tapped: toggle,
});
addControls(map, fit);
followPage(map, fit, () => {});

const question = new Latest();

form.addEventListener("change", ({ target }) => ["others", "closes_gaps"].includes(target.name) && tell());
tell();
form.dataset.ready = "true";

// A tap on the map is a tick in the list; a plot that is not in the list comes into it.
function toggle({ id, name, acres, boundary_id }) {
  let box = boxes().find(({ value }) => Number(value) === id);
  if (box) box.checked = !box.checked;
  else {
    const item = document.querySelector("[data-row]").content.cloneNode(true).firstElementChild;
    box = item.querySelector("[name=others]");
    box.value = String(id);
    item.querySelector("[data-name]").textContent = name;
    item.querySelector("[data-facts]").textContent = acres === null ? "" : acresText(acres);
    Object.assign(item.querySelector("[type=hidden]"), { name: `seen-${id}`, value: String(boundary_id) });
    part("list").prepend(item);
  }
  tell();
}

function tell() {
  question.drop();
  const ids = chosen();
  others.mark(ids);
  if (ids.length) {
    say("Measuring …");
    tryOut(ids);
  } else {
    show(null);
    say(hint);
  }
}

async function tryOut(ids) {
  const body = {
    others: ids.map((id) => ({ plot_id: id, replaces: Number(form.elements[`seen-${id}`].value) })),
    replaces: given.boundary,
    closes_gaps: form.elements.closes_gaps.checked,
    dry: true,
  };
  const answer = await question.ask("POST", given.try, { body, pause_ms: PAUSE_MS });
  if (!answer) return;
  const isGood = answer.status === 200;
  show(isGood ? answer.body : null);
  if (isGood) say(answer.body.notes.join(" ") || `Together, in place of ${acresText(answer.body.acres_apart)} apart.`);
  else if (answer.status === 401) say("You are signed out. Sign in in another tab, and choose again.", true);
  else if (answer.body?.error?.code === "boundary_changed") say(`${answer.body.error.message} Load this page again to see it.`, true);
  else say(answer.body?.error?.message ?? "The server could not be reached, so what they are together is not known.", true);
}

function show(found) {
  wholeLayer.clearLayers();
  if (found) {
    wholeLayer.addData(found.geometry);
    if (!map.getBounds().contains(wholeLayer.getBounds())) fit(); // a plot of the list may lie beyond the map's edge
  }
  part("acres").textContent = found ? acresText(found.acres) : "–";
  part("parts").textContent = found ? String(found.parts) : "–";
  part("parts-plural").textContent = found?.parts === 1 ? "" : "s";
  part("gaps").hidden = !found?.gap_acres;
}
