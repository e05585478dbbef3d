// What is being written down of a planting. Every letter is kept as it comes.

import { hold } from "../offline/hold.js";
import { newId } from "../offline/ids.js";
import { allRecords, keep, keepTyped, recordOf } from "../offline/store.js";

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

// The record that this tab alone works on.
export class Draft {
  // `wrong(error)` hears when the device did not keep what was typed, and null when it did again.
  constructor(wrong) {
    Object.assign(this, { _wrong: wrong, record: null, _keeping: Promise.resolve(), _isWaiting: false });
  }

  // False where another tab has it.
  async take(record) {
    if (this.record?.id === record.id) return true;
    await this.letGo();
    const release = await hold(record.id);
    if (!release) return false;
    Object.assign(this, { record: (await recordOf(record.id)) ?? record, _release: release });
    return true;
  }

  // At once, or when the letter before is kept, with all that came meanwhile.
  type(form) {
    this.record = { ...this.record, form };
    if (this._isWaiting) return;
    this._isWaiting = true;
    this._keeping = this._keeping.then(() => {
      this._isWaiting = false;
      return this._keep(this.record, keepTyped);
    });
  }

  // Whether it is on the device, ready to be sent.
  async finish() {
    await this._keeping;
    const ready = { ...this.record, state: "ready", refused: null, isOnItsWay: false };
    if (!(await this._keep(ready, keep))) return false;
    await this.letGo();
    return true;
  }

  async letGo() {
    await this._keeping;
    this._release?.();
    this._release = this.record = null;
  }

  async _keep(record, keeping) {
    try {
      await keeping(record);
      this._wrong(null);
      return true;
    } catch (error) {
      this._wrong(error);
      return false;
    }
  }
}
