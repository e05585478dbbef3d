// What is being written down of a planting.

import { newId } from "../offline/ids.js";
import { allRecords } from "../offline/store.js";

const KIND = "planting";
const two = (number) => String(number).padStart(2, "0");
const dayOf = (at) => `${at.getFullYear()}-${two(at.getMonth() + 1)}-${two(at.getDate())}`;
const timeOf = (at) => `${two(at.getHours())}:${two(at.getMinutes())}`;

export const phoneZone = () => Intl.DateTimeFormat().resolvedOptions().timeZone;

// Those of a season that the person on this phone made, by the plot's id; the one that still needs somebody first.
export async function recordsByPlot(slug, season, user) {
  const order = { open: 0, ready: 1, sent: 2 };
  const mine = (await allRecords()).filter((record) => record.kind === KIND && record.slug === slug && record.season === season && (!record.user || !user || record.user.id === user.id));
  const found = new Map();
  for (const record of mine.sort((a, b) => order[a.state] - order[b.state] || (a.startedAt < b.startedAt ? 1 : -1))) {
    found.set(record.plot.id, [...(found.get(record.plot.id) ?? []), record]);
  }
  return found;
}

// A record of what the sheet says, begun now. `since` is when the first fill was ticked, if it was.
export function begun({ slug, season, user, sheet, since }) {
  const now = new Date();
  const start = since && dayOf(since) === dayOf(now) ? since : null;
  const loaded = sheet.seeds.map(({ planned_lb }, i) => [`loaded_lb_${i}`, planned_lb ?? ""]);
  return {
    id: newId(),
    kind: KIND,
    slug,
    season,
    user,
    state: "open",
    startedAt: now.toISOString(),
    zone: phoneZone(),
    plot: sheet.plot,
    seeds: sheet.seeds,
    form: {
      done_on: dayOf(now),
      started_at: start ? timeOf(start) : "",
      ended_at: timeOf(now),
      machine_id: sheet.machine ? String(sheet.machine.id) : "",
      seed: "left",
      ...Object.fromEntries(loaded),
    },
    refused: null,
  };
}
