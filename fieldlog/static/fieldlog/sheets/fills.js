// The fills of a sheet as steps to tick, one after the other. Ticks stay on this device and say nothing to the server.

import { element, part, screen } from "../offline/screens.js";
import { recall, remember } from "../../site/memory.js";

// Every fill by itself: those that are alike are one row of the sheet and several trips to the box.
function stepsOf(sheet) {
  const several = sheet.boxes.length > 1;
  return sheet.boxes.flatMap(({ box, label, fills }) =>
    (fills ?? []).flatMap(({ first, last, lb, is_part, parts }) =>
      Array.from({ length: last - first + 1 }, (_, i) => ({
        key: `${box} ${first + i} ${lb}`, // another amount is another fill
        name: `${several ? `${label}, fill` : "Fill"} ${first + i}`,
        lb,
        is_part,
        parts,
      })),
    ),
  );
}

const keyOf = (place, sheet) => `swardbook fills ${place} ${sheet.plot.id}`;

// {key: when it was ticked}
const ticksOf = (place, sheet) => recall(keyOf(place, sheet)) ?? {};

// The moment of the first tick that still belongs to the sheet, or null.
export function firstTick(place, sheet) {
  const ticks = ticksOf(place, sheet);
  const times = stepsOf(sheet).map(({ key }) => ticks[key]).filter(Boolean).sort();
  return times.length ? new Date(times[0]) : null;
}

export function doneOf(place, sheet) {
  const ticks = ticksOf(place, sheet);
  const steps = stepsOf(sheet);
  return { done: steps.filter(({ key }) => ticks[key]).length, of: steps.length };
}

export function showFills(place, sheet) {
  const at = screen("fills");
  const steps = stepsOf(sheet);
  let ticks = ticksOf(place, sheet);
  part("title", at).textContent = sheet.plot.name;

  const tick = (key, isDone) => {
    ticks = { ...ticks, [key]: isDone ? new Date().toISOString() : undefined };
    remember(keyOf(place, sheet), ticks);
    paint();
  };
  const paint = () => {
    const next = steps.find(({ key }) => !ticks[key]);
    part("next", at).replaceChildren(...(next ? fillOf(next) : [element("p", { className: "lead", textContent: "Every fill is in." })]));
    part("progress", at).textContent = `${steps.filter(({ key }) => ticks[key]).length} of ${steps.length} in the box`;
    part("tick", at).hidden = !next;
    part("tick", at).onclick = () => tick(next.key, true);
    part("planted", at).classList.toggle("main", !next);
    part("all", at).replaceChildren(...steps.map((step) => rowOf(step, Boolean(ticks[step.key]), tick)));
  };
  paint();
}

function fillOf({ name, lb, is_part, parts }) {
  const rows = parts.map((each) => element("div", {}, element("dt", { textContent: each.name }), element("dd", { className: "fig", textContent: each.lb ?? "not known" })));
  return [
    element("h2", { textContent: name }, is_part ? element("span", { className: "tag", textContent: "part fill" }) : null),
    element("p", { className: "sheet-big fig", textContent: lb ?? "not known" }),
    element("dl", { className: "sheet-rows" }, ...rows),
  ];
}

function rowOf({ key, name, lb }, isDone, tick) {
  const box = element("input", { type: "checkbox", checked: isDone });
  box.addEventListener("change", () => tick(key, box.checked));
  return element("label", { className: "hand-choice" }, box, element("span", { textContent: name }), element("span", { className: "fig", textContent: lb ?? "" }));
}
