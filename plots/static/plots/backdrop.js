// What lies under the outlines: pictures of the ground from the server that the owner has named, and the property's
// own pictures over them. plots/_map_imagery.html says in data-* what there is; a button on the map opens a
// list to switch each on and off, which this browser remembers for the property.

import { recall, remember } from "../site/memory.js";

const SPOILT = 4; // tiles that failed one after another before it is said
const SAID = "Pictures of the ground cannot be had now. The map works without them.";

export function addBackdrop(map, { ground, imagery, credit, zoom, pictures }) {
  const own = JSON.parse(pictures ?? "[]");
  const remembered = memoryOf(ground);
  const layers = [];
  if (imagery) {
    const layer = L.tileLayer(imagery, { maxNativeZoom: Number(zoom), maxZoom: map.getMaxZoom(), zIndex: 1 });
    layer.on({ add: () => credits.addTo(map), remove: () => credits.remove() });
    const credits = creditOf(credit);
    layers.push({ key: "imagery", name: "From another server", layer, isOn: true });
  }
  own.forEach((picture, place) => {
    layers.push({ key: picture.id, name: picture.name, layer: tilesOf(map, picture, own.length - place), isOn: place === 0 });
  });
  if (layers.length === 0) return;
  const quiet = watchFailures(map, layers);
  for (const each of layers) {
    each.isOn = remembered.get(each.key) ?? each.isOn;
    if (each.isOn) each.layer.addTo(map);
  }
  addSwitch(map, layers, (each, isOn) => {
    each.isOn = isOn;
    remembered.set(each.key, isOn);
    if (isOn) each.layer.addTo(map);
    else {
      each.layer.remove();
      quiet(each);
    }
  });
}

function tilesOf(map, { address, bounds: [west, south, east, north], zooms: [least, most] }, zIndex) {
  return L.tileLayer(address, {
    bounds: [[south, west], [north, east]],
    minNativeZoom: least,
    maxNativeZoom: most,
    maxZoom: map.getMaxZoom(),
    zIndex: 1 + zIndex,
  });
}

function creditOf(credit) {
  const words = document.createElement("span");
  words.textContent = credit;
  return L.control.attribution({ prefix: false, position: "bottomright" }).addAttribution(words.innerHTML);
}

// A tile that fails leaves plain paper. One line says so when several did, and goes when one comes again.
function watchFailures(map, layers) {
  const note = document.createElement("p");
  note.className = "map-note";
  note.setAttribute("role", "status");
  note.hidden = true;
  map.getContainer().append(note);
  const failed = new Map(layers.map((each) => [each, 0]));
  const count = (each, number) => {
    failed.set(each, number);
    const isSpoilt = [...failed.values()].some((many) => many >= SPOILT);
    if (note.hidden === !isSpoilt) return;
    note.hidden = !isSpoilt;
    note.textContent = isSpoilt ? SAID : "";
  };
  for (const each of layers) {
    each.layer.on({ tileerror: () => count(each, failed.get(each) + 1), tileload: () => count(each, 0) });
  }
  addEventListener("online", () => {
    for (const each of layers) if (failed.get(each) && each.isOn) each.layer.redraw();
  });
  return (each) => count(each, 0);
}

function addSwitch(map, layers, turn) {
  const box = document.createElement("div");
  box.className = "map-ground";
  const list = document.createElement("fieldset");
  list.id = `ground-${map.getContainer().dataset.ground || "list"}-${L.stamp(map)}`;
  list.hidden = true;
  const legend = document.createElement("legend");
  legend.textContent = "Under the outlines";
  list.append(legend, ...layers.map((each) => choiceOf(each, turn)));
  const button = document.createElement("button");
  button.type = "button";
  button.textContent = "Pictures";
  button.setAttribute("aria-controls", list.id);
  const open = (isOpen) => {
    list.hidden = !isOpen;
    button.setAttribute("aria-expanded", String(isOpen));
  };
  open(false);
  button.addEventListener("click", () => open(list.hidden));
  box.addEventListener("keydown", (event) => {
    if (event.key !== "Escape" || list.hidden) return;
    event.stopPropagation();
    open(false);
    button.focus();
  });
  map.on("click", () => open(false));
  box.append(button, list);
  L.DomEvent.disableClickPropagation(box);
  L.DomEvent.disableScrollPropagation(box);
  const control = L.control({ position: "topleft" });
  control.onAdd = () => box;
  control.addTo(map);
}

function choiceOf(each, turn) {
  const label = document.createElement("label");
  label.className = "choice";
  const box = document.createElement("input");
  box.type = "checkbox";
  box.checked = each.isOn;
  box.addEventListener("change", () => turn(each, box.checked));
  label.append(box, each.name);
  return label;
}

// What this browser was told for the property. Without storage it is forgotten with the page.
function memoryOf(ground) {
  const place = `swardbook ground ${ground}`;
  const held = recall(place) ?? {};
  return {
    get: (key) => held[key],
    set: (key, isOn) => {
      held[key] = isOn;
      remember(place, held);
    },
  };
}
