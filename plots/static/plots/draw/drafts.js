// What is drawn and not saved yet, on this device: by person, property and plot. Each opening of the page has a draft of
// its own, so that none writes over another that has not been brought back yet.

import { keysFrom, recall, remember } from "../../site/memory.js";

const MOST_CHARACTERS = 200_000; // of steps; the browser gives the whole site a few million
const PREFIX = "swardbook drawn";

export class Drafts {
  constructor({ person, property, plot }) {
    this._of = `${PREFIX} ${person} ${property} ${plot ?? "new"} `;
    this.beginAnew();
  }

  // What is kept from now on is a draft of its own.
  beginAnew() {
    this._mine = `${this._of}${Date.now()} ${Math.random().toString(36).slice(2)}`;
  }

  // The newest of those kept earlier, { key, base, at, history, name, why }, or null.
  newest() {
    const found = keysFrom(this._of).filter((key) => key !== this._mine).map(read).filter(Boolean);
    return found.sort((a, b) => (a.at < b.at ? 1 : -1))[0] ?? null;
  }

  // Whether it could be stored. `base` is the boundary that it replaces.
  keep({ base, history, name, why }) {
    const draft = { base, at: new Date().toISOString(), history: shortened(history), name, why };
    return remember(this._mine, draft);
  }

  discard(key = this._mine) {
    remember(key, null);
  }
}

function read(key) {
  const draft = recall(key);
  return Array.isArray(draft?.history?.past) && Array.isArray(draft.history.present?.parts) ? { ...draft, key } : null;
}

// As many of the last steps as have room; what stands now always.
function shortened({ past, present }) {
  const kept = [];
  let room = MOST_CHARACTERS;
  for (const shape of past.toReversed()) {
    room -= JSON.stringify(shape).length;
    if (room < 0) break;
    kept.unshift(shape);
  }
  return { past: kept, present, future: [] };
}
