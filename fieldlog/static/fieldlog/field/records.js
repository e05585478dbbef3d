// What is recorded here and sent: visits, work, being out alone.

import { Draft } from "../offline/draft.js";
import { newId } from "../offline/ids.js";
import { KINDS } from "../offline/kinds.js";
import { Outbox } from "../offline/outbox.js";
import { showQueue } from "../offline/queue.js";
import { notSaved } from "../offline/room.js";
import { banner } from "../offline/screens.js";
import { discard, persist } from "../offline/store.js";
import { checkinScreens } from "./checkin.js";
import { isEmpty } from "./kind.js";
import { Visits } from "./visit.js";
import { placeOf } from "./where.js";
import { workScreens } from "./work.js";

const BETTER_M = 2;
const AT_PLACE_MS = 3 * 3600 * 1000; // a visit that is finished at the kitchen table was still made on the plot

export class Records {
  // `at` is { facts(), where, go(hash), slug, changed() }; `changed` hears when something was sent or refused.
  constructor(at) {
    const draft = new Draft((error) => banner("kept", "stop", error && notSaved(error)));
    const outbox = new Outbox({ kinds: KINDS, changed: (stopped) => this._changed(stopped) });
    Object.assign(this, { _at: at, _draft: draft, _outbox: outbox });
    this._visits = new Visits({ ...at, draft, outbox, replace: (hash) => location.replace(hash || "#") });
    const context = { facts: at.facts, go: at.go, position: () => at.where.now, user: () => at.facts()?.user ?? null, outbox, slug: at.slug };
    this._others = [workScreens(context), checkinScreens(context)];
  }

  send() {
    return this._outbox.send();
  }

  async _changed(stopped) {
    await showQueue({ stopped, outbox: this._outbox, user: this._at.facts()?.user });
    this._at.changed();
  }

  // Whether what the address asks for stands on the screen now.
  async open(hash) {
    const [, what, id, within] = hash.match(/^#(visit|saved|mend)-([^/]+)(?:\/(.*))?$/) ?? [];
    if (what === "saved") return this._visits.saved(id);
    if (what) return this._visits.open(id, within ?? "");
    return hash.length > 1 && this._others.some((each) => each.open(hash));
  }

  // Lets go of the visit where the address asks for something else. What was begun and has nothing in it is not kept.
  async leave(hash) {
    const { record } = this._draft;
    if (!record || hash.includes(record.id)) return;
    await this._draft.letGo();
    if (record.state === "open" && isEmpty(record) && !record.answer && !record.refused) await discard(record.id);
  }

  async begin(plot) {
    persist();
    const { facts, where, slug, go } = this._at;
    const now = new Date().toISOString();
    const record = { id: newId(), kind: "visit", slug, user: facts().user, state: "open", startedAt: now, plot, visitedAt: now, place: placeOf(where.now), note: "", readings: [], photos: [], refused: null };
    if (!(await this._draft.take(record))) return;
    this._draft.change({});
    go(`visit-${record.id}`);
  }

  moved() {
    const { record } = this._draft;
    const now = placeOf(this._at.where.now);
    if (record?.kind !== "visit" || !now || Date.now() - Date.parse(record.startedAt) > AT_PLACE_MS) return;
    if (!record.place || now.accuracy_m < record.place.accuracy_m - BETTER_M) this._draft.change({ place: now });
    this._visits.moved();
  }
}
