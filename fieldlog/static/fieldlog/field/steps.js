// How each kind of question is asked: a number by a keypad, a choice by large buttons. Nothing here keeps anything.
//
// A question is made with (step, at), `at` being { value, set(value), memo, remember(memo), sown, others }; `set` hears
// every tap, with null where nothing is answered.

import { element } from "../offline/screens.js";
import { drawing } from "./drawings.js";
import { numberIn } from "./checks.js";
import { button, keypad, stopwatch } from "./keypad.js";
import { askPoints, askRows, askSpecies } from "./tallies.js";

const LONG = 7; // what fits on a screen below each other

const ASKS = { number: askNumber, numbers: askNumbers, choice: askChoice, flag: askFlag, text: askText, points: askPoints, rows: askRows, species: askSpecies };

export function question(step, at) {
  const asked = ASKS[step.ask](step, at);
  const picture = drawing(step.picture, "field-drawing");
  return element("div", { className: "field-ask" }, picture, asked);
}

function askNumber(step, at) {
  const pad = keypad(step, at.value, (text) => at.set(numberIn(text)));
  return element("div", {}, watchOf(step, at, pad), pad.element);
}

// Minutes can be taken by the phone.
const watchOf = (step, at, pad) => (step.unit === "min" ? stopwatch(at, (minutes) => pad.write(String(minutes))) : null);

function askNumbers(step, at) {
  let entries = [...(at.value ?? [])];
  const list = element("p", { className: "field-entries fig", role: "status" });
  const pending = () => numberIn(pad.text);
  // What is typed counts before it is added too, or it would be lost with Next.
  const say = () => {
    const all = pending() === null ? entries : [...entries, pending()];
    at.set(all.length ? all : null);
    adding.disabled = pending() === null;
  };
  const set = (now) => {
    entries = now;
    pad.write("");
    paint();
  };
  const add = () => {
    if (pending() !== null) set([...entries, pending()]);
  };
  const pad = keypad(step, null, say, add);
  const adding = button("Add it", add, "main");
  const undo = button("Undo", () => set(entries.slice(0, -1)), "quiet");
  const paint = () => {
    list.textContent = entries.length ? `${entries.map((each) => each ?? "–").join("  ·  ")}${meanOf(entries, step)}` : "None yet";
    undo.hidden = !entries.length;
  };
  adding.disabled = true;
  paint();
  const watch = watchOf(step, at, pad);
  return element("div", {}, list, watch, pad.element, element("div", { className: "acts field-add" }, adding, undo));
}

function meanOf(entries, { unit }) {
  const known = entries.filter((each) => each !== null);
  if (known.length < 2) return "";
  const mean = known.reduce((sum, each) => sum + each, 0) / known.length;
  return `  (${known.length}, mean ${mean.toFixed(1)}${unit ? ` ${unit}` : ""})`;
}

function askChoice(step, at) {
  const group = element("div", { className: "field-choices", role: "group" });
  group.setAttribute("aria-label", step.label);
  group.classList.toggle("is-long", step.choices.length > LONG && !step.choices.some(({ help, picture }) => help || picture));
  const paint = (value) => {
    for (const each of group.children) each.setAttribute("aria-pressed", String(each.dataset.value === value));
  };
  const choose = (value) => {
    at.set(value);
    paint(value);
  };
  for (const { value, label, help, picture } of step.choices) {
    const made = button("", () => choose(made.getAttribute("aria-pressed") === "true" ? null : value));
    made.dataset.value = value;
    const words = element("span", {}, element("strong", { textContent: label }), help ? element("span", { className: "field-hint", textContent: help }) : null);
    made.append(...[drawing(picture, "field-choice-drawing"), words].filter(Boolean));
    group.append(made);
  }
  paint(at.value);
  return group;
}

function askFlag(step, at) {
  const choices = [{ value: "yes", label: "Yes" }, { value: "no", label: "No" }];
  const value = at.value === undefined || at.value === null ? null : at.value ? "yes" : "no";
  return askChoice({ ...step, choices }, { value, set: (said) => at.set(said === null ? null : said === "yes") });
}

function askText(step, at) {
  const input = element("textarea", { rows: 4, maxLength: step.longest, value: at.value ?? "" });
  input.setAttribute("aria-label", step.label);
  input.addEventListener("input", () => at.set(input.value || null));
  return element("div", { className: "field" }, input);
}
