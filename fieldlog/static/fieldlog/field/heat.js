// The heat, looked up in the server's table.

import { element, part, screen, show } from "../offline/screens.js";

const FIRST_F = 90;
const FIRST_PCT = 50;
const MOODS = { none: "good", caution: "warn", extreme_caution: "warn", danger: "stop", extreme_danger: "stop" };

export function heatScreen(ctx) {
  const at = screen("heat");
  const chosen = { temp: null, damp: null, inSun: true };
  const knownHeat = () => ctx.facts()?.safety?.find(({ key }) => key === "heat");

  // The first tap begins in the middle, so that nothing is said of a day that nobody told of.
  function turn(name, by) {
    const { table } = knownHeat();
    const [steps, first] = name === "temp" ? [table.temps_f, FIRST_F] : [table.humidities_pct, FIRST_PCT];
    const place = chosen[name] === null ? steps.indexOf(first) : steps.indexOf(chosen[name]) + by;
    chosen[name] = steps[Math.min(steps.length - 1, Math.max(0, place))];
    paint();
  }

  function paint() {
    const heat = knownHeat();
    part("temp", at).textContent = chosen.temp === null ? "–" : `${chosen.temp} °F`;
    part("damp", at).textContent = chosen.damp === null ? "–" : `${chosen.damp} %`;
    for (const button of at.querySelectorAll("[data-sun]")) button.setAttribute("aria-pressed", String(chosen.inSun === (button.dataset.sun === "1")));
    for (const button of at.querySelectorAll("[data-dial]")) button.disabled = !heat;
    part("emergency", at).textContent = heat?.says[0] ?? "Confused, stumbling or fainting in the heat: call 911 and cool the person at once.";
    part("heat", at).replaceChildren(...told(heat));
    part("heat", at).className = "care-heat";
    const risk = heat && riskOf(heat.table, chosen);
    if (risk) part("heat", at).classList.add(MOODS[risk.band.key]);
  }

  function told(heat) {
    if (!heat) return [element("p", { textContent: "This phone has no table of the heat yet. Open the page once with signal." })];
    const risk = riskOf(heat.table, chosen);
    if (!risk) return [element("p", { textContent: "Tap temperature and humidity." })];
    const figure = risk.inShade === risk.atMost ? `Heat index ${risk.inShade} °F` : `Heat index ${risk.inShade} °F, in the sun up to ${risk.atMost} °F`;
    return [element("strong", { textContent: risk.band.title }), element("p", { className: "fig", textContent: figure }), element("p", { textContent: risk.band.does })];
  }

  for (const button of at.querySelectorAll("[data-dial]")) {
    const [name, by] = button.dataset.dial.split(" ");
    button.addEventListener("click", () => turn(name, Number(by)));
  }
  for (const button of at.querySelectorAll("[data-sun]")) {
    button.addEventListener("click", () => {
      chosen.inSun = button.dataset.sun === "1";
      paint();
    });
  }
  return {
    open() {
      paint();
      show("heat");
    },
  };
}

// { inShade, atMost, band } in °F, or null where temperature or humidity is not known. What stands between two of the
// table's figures is taken as the worse.
export function riskOf(table, { temp, damp, inSun }) {
  if (temp === null || damp === null) return null;
  const inShade = table.index_f[worse(table.temps_f, temp)][worse(table.humidities_pct, damp)];
  const atMost = inShade + (inSun ? table.sun_f : 0);
  return { inShade, atMost, band: table.bands.findLast(({ from_f }) => atMost >= from_f) };
}

function worse(steps, value) {
  const place = steps.findIndex((step) => step >= value);
  return place < 0 ? steps.length - 1 : place;
}
