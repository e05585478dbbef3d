// The short form of what was planted: one question a screen, and at the end everything once more.

import { element, part, screen, show } from "../offline/screens.js";
import { phoneZone } from "./record.js";
import { complaintsOf, sayComplaints } from "./check.js";

const BOX_NAMES = { main: "seed box", small: "small-seed box" };

const at = screen("record");
const form = part("form", at);
const steps = [...form.querySelectorAll("[data-step]")];
const field = (name) => form.elements[name];

let draft;
let finished;
let step = 0;

// `done(draft)` hears when the person presses Save.
export function watchForm(done) {
  finished = done;
  form.addEventListener("input", typed);
  form.addEventListener("change", typed);
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    next();
  });
  part("back", at).addEventListener("click", () => go(step - 1));
}

export function showForm(taken, sheet, facts) {
  draft = taken;
  const { record } = draft;
  part("title", at).textContent = record.plot.name;
  part("map-acres", at).textContent = sheet ? `The map says ${sheet.acres}.` : "";
  part("zone", at).textContent = `By this phone's clock (${phoneZone()}).`;
  field("machine_id").replaceChildren(element("option", { value: "", textContent: "none, or not in the list" }), ...facts.machines.map(({ id, name }) => element("option", { value: String(id), textContent: name })));
  part("seeds", at).replaceChildren(...record.seeds.map(seedOf));
  part("boxes-left", at).replaceChildren(...boxesOf(record).map(leftOf));
  part("sheet-settings", at).textContent = settingsTold(sheet);
  for (const input of form.elements) put(input, record.form);
  suit();
  show("record");
  go(0);
  sayRefusal(record.refused);
}

function put(input, values) {
  if (!input.name) return;
  if (input.type === "checkbox") input.checked = Boolean(values[input.name]);
  else if (input.type === "radio") input.checked = values[input.name] === input.value;
  else input.value = values[input.name] ?? "";
}

const boxesOf = ({ seeds }) => [...new Set(seeds.map(({ box }) => box))];

function seedOf({ name, planned_lb }, i) {
  const pounds = (kind, words) =>
    element("label", { className: `seed-${kind}` }, words, element("input", { type: "text", inputMode: "decimal", name: `${kind}_lb_${i}`, className: "short", autocomplete: "off" }));
  const row = element("fieldset", { className: "sheet-seed" }, element("legend", { textContent: name }), element("p", { className: "help", textContent: planned_lb ? `The sheet: ${planned_lb} lb` : "The sheet has no pounds." }), pounds("loaded", "put in, lb"), pounds("used", "used, lb"));
  for (const input of row.querySelectorAll("input")) input.dataset.number = "one";
  return row;
}

function leftOf(box, _, all) {
  const input = element("input", { type: "text", inputMode: "decimal", name: `left_${box}`, className: "short", autocomplete: "off" });
  input.dataset.number = "one";
  input.dataset.needed = "Say what was left, in pounds; 0 when it ran empty.";
  return element("label", { className: "field" }, element("span", { className: "label", textContent: `Left in the ${all.length > 1 ? BOX_NAMES[box] : "hopper"}, lb` }), input);
}

function settingsTold(sheet) {
  const told = (sheet?.boxes ?? []).flatMap(({ label, settings }) => settings.map((each) => `${label}, ${each.label.toLowerCase()}: ${each.setting}`));
  return told.length ? `The sheet: ${told.join("; ")}.` : "";
}

// Shows what the answers so far ask for.
function suit() {
  const how = form.querySelector("[name=seed]:checked")?.value ?? "unknown";
  part("seeds", at).dataset.how = how;
  part("seeds", at).hidden = how === "unknown";
  part("boxes-left", at).hidden = how !== "left";
  part("counted-field", at).hidden = how === "unknown";
  for (const each of form.querySelectorAll(".seed-loaded")) each.hidden = how !== "left";
  for (const each of form.querySelectorAll(".seed-used")) each.hidden = how !== "used";
}

function typed() {
  suit();
  draft.change({ form: Object.fromEntries(new FormData(form)) });
}

function next() {
  const wrong = complaintsOf(steps[step]);
  sayComplaints(form, wrong);
  if (wrong.length) return;
  if (step === steps.length - 1) finished(draft);
  else go(step + 1);
}

function go(to) {
  step = to;
  for (const [i, each] of steps.entries()) each.hidden = i !== step;
  const isLast = step === steps.length - 1;
  part("step", at).textContent = `${step + 1} of ${steps.length}`;
  part("back", at).hidden = step === 0;
  part("next", at).textContent = isLast ? "Save on the phone" : "Next";
  if (isLast) part("summary", at).replaceChildren(...summary());
  scrollTo(0, 0);
  part("head", steps[step])?.focus({ preventScroll: true });
}

// Every answer, under the words that asked for it.
function summary() {
  const asked = steps.slice(0, -1).flatMap((each) => [...each.querySelectorAll("[name]")]);
  return asked.filter((input) => !input.closest("[hidden]:not([data-step])")).flatMap((input) => {
    const answer = answerOf(input);
    return answer ? [element("div", {}, element("dt", { textContent: questionOf(input) }), element("dd", { textContent: answer }))] : [];
  });
}

function answerOf(input) {
  if (input.type === "checkbox") return input.checked ? "yes" : "";
  if (input.type === "radio") return "";
  return input.tagName === "SELECT" ? input.selectedOptions[0]?.textContent : input.value.trim();
}

function questionOf(input) {
  const words = (input.labels[0]?.textContent ?? input.name).replace("(optional)", "").trim();
  const seed = input.closest(".sheet-seed")?.querySelector("legend").textContent;
  return seed ? `${seed}, ${words}` : words;
}

const FIELDS = { "settings.main": "setting_main", settings: "setting_main" };

// What the server said the last time, on the screen where it can be put right.
function sayRefusal(refused) {
  const note = part("refused", at);
  note.hidden = !refused;
  note.textContent = refused ? `Not taken: ${refused.sentence}` : "";
  const wrong = Object.entries(refused?.fields ?? {}).flatMap(([name, sentences]) => {
    const [, position, of] = name.match(/^seeds\.(\d+)\.(\w+)$/) ?? [];
    const box = name.match(/^boxes_left_lb\.(\w+)$/)?.[1];
    const asked = form.elements.seed.value === "left" ? "loaded_lb" : of;
    const input = field(position ? `${asked}_${position}` : box ? `left_${box}` : (FIELDS[name] ?? name));
    return input instanceof HTMLElement ? [[input, sentences[0]]] : [];
  });
  if (!wrong.length) return;
  go(steps.findIndex((each) => each.contains(wrong[0][0])));
  sayComplaints(form, wrong);
}
