// What a visit to a plot asks: its protocols, and the readings that answer them. A reading is part of its visit's record.

import { newId } from "../offline/ids.js";
import { isAsked, told } from "./checks.js";
import { isAnswered } from "./kind.js";

export const PIN = { name: "pin", label: "Where is it?", ask: "pin" };

// The plot's protocols, those that are due first: [{ key, kind, name, settings, …, isDue }].
export function protocolsOf(facts, plotId) {
  const due = new Set(facts?.due?.[plotId] ?? []);
  const fit = (facts?.protocols ?? []).filter(({ kind, plots }) => kind in facts.kinds && (!plots || plots.includes(plotId)));
  return fit.map((each) => ({ ...each, isDue: due.has(each.key) })).sort((a, b) => b.isDue - a.isDue);
}

// Kinds that can be noted on every visit and that no protocol of the plot asks for, as protocols without a key.
export function alwaysOf(facts, plotId) {
  const asked = new Set(protocolsOf(facts, plotId).map(({ kind }) => kind));
  return Object.values(facts?.kinds ?? {}).filter(({ key, is_always }) => is_always && !asked.has(key)).map(({ key, title }) => ({ key: "", kind: key, name: title, settings: {} }));
}

export const readingsOf = (record, protocol) => record.readings.filter((each) => each.kind === protocol.kind && each.protocol === protocol.key);

export function newReading({ kind, key, settings }) {
  return { id: newId(), kind, protocol: key, settings: settings ?? {}, values: {}, sure_of: [], taken_at: null, place: null, note: "", state: "begun", memo: {}, isPinned: false };
}

// The screens of a reading, in their order.
export function stepsOf(kind, reading) {
  const steps = kind.steps.filter((step) => isAsked(step, reading.values, reading.settings));
  return kind.pin === "ask" || (kind.pin === "may" && reading.isPinned) ? [...steps, PIN] : steps;
}

// [[label, answer], …] of what was answered.
export function answersOf(kind, reading) {
  const found = kind.steps.map((step) => [step.label, told(step, reading.values[step.name])]).filter(([, text]) => text);
  return reading.isPinned ? [...found, ["Pin", "set on the map"]] : found;
}

// [words, mood] of how far a reading has come.
export function stateOf(reading) {
  if (reading.refused) return ["refused", "stop"];
  if (reading.state === "sent") return ["with the server", "good"];
  if (!isAnswered(reading)) return reading.state === "done" ? ["skipped", ""] : ["", ""];
  return reading.state === "done" ? ["done", "good"] : ["begun", "warn"];
}
