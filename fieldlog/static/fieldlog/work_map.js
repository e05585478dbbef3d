// The map of work: outlines quietly, and a pin for each place with the numbers that the list has.

import { featuresAt, sayUndrawn } from "../plots/features.js";
import { addControls, fitTo, followPage, openMap } from "../plots/map_base.js";

const MOST_SAID = 3; // numbers on a pin
const AROUND = 0.0008; // degrees beside a single pin

const element = document.querySelector("[data-work-map]");
const said = document.querySelector("[data-map-said]");
begin();

async function begin() {
  const pins = JSON.parse(document.getElementById("work-pins").textContent);
  let features = [];
  try {
    features = await featuresAt(element.dataset.outlines);
  } catch (error) {
    sayUndrawn(said, error);
  }
  draw(pins, features.filter(({ geometry }) => geometry && geometry.type !== "Point"));
}

function draw(pins, features) {
  const map = openMap(element);
  const ground = L.geoJSON(features, { interactive: false, style: { className: "outline work-ground" } });
  const bounds = L.latLngBounds(pins.map(({ lat, lon }) => [lat, lon])).pad(0.15);
  const isOne = bounds.getNorthEast().equals(bounds.getSouthWest());
  const { lat, lng } = bounds.getCenter();
  const shown = isOne ? L.latLngBounds([lat - AROUND, lng - AROUND], [lat + AROUND, lng + AROUND]) : bounds;
  const fit = fitTo(map, shown);
  fit();
  ground.addTo(map);
  for (const pin of pins) L.marker([pin.lat, pin.lon], { icon: iconOf(pin), keyboard: false }).addTo(map);
  addControls(map, fit);
  followPage(map, fit, () => {});
  element.dataset.ready = "true";
}

function iconOf({ numbers, title, href, is_late: isLate }) {
  const link = document.createElement("a");
  const more = numbers.length - MOST_SAID;
  link.textContent = numbers.slice(0, MOST_SAID).join(", ") + (more > 0 ? ` +${more}` : "");
  link.href = href;
  link.title = numbers.length > 1 ? `${title}, and ${numbers.length - 1} more` : title;
  if (isLate) link.setAttribute("aria-label", `${link.textContent}: ${link.title}, overdue`);
  return L.divIcon({ className: `work-pin${isLate ? " is-late" : ""}`, html: link, iconSize: [30, 38], iconAnchor: [15, 38] });
}
