// Sends what is ready, one after the other, in one tab at a time. A record leaves the device only after the server has
// said its id back; sent twice, it is one there.

import { ask, csrfToken } from "../../site/asking.js";
import { allRecords, entries, keep, keepAnswer, recordOf } from "./store.js";

export const SIGNED_OUT = "signed-out";
export const NO_SIGNAL = "no-signal";
export const FAILING = "failing";

const PATIENCE_MS = 60_000;

// Over plain http a browser has no locks. Two tabs may then both send a record, which is one at the server.
const inTurn = (work) => (navigator.locks ? navigator.locks.request("swardbook outbox", work) : work());

// `kinds` says of each kind of record { address(record), body(record, entries) }; `changed()` is called whenever
// something was sent or refused.
export class Outbox {
  constructor({ kinds, changed }) {
    Object.assign(this, { _kinds: kinds, _changed: changed });
    addEventListener("online", () => this.send());
    document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && this.send());
  }

  // Gives why it stopped, or null when nothing is left that could be sent.
  async send() {
    const stopped = await inTurn(() => this._sendAll());
    this._changed(stopped);
    return stopped;
  }

  async _sendAll() {
    const ready = (await allRecords()).filter(({ state, kind }) => state === "ready" && kind in this._kinds);
    for (const { id } of ready) {
      const stopped = await this._sendOne(id);
      if (stopped) return stopped;
      this._changed(null);
    }
    return null;
  }

  // Opens a record that waits, so that it can be changed; null where it was sent, or may have been without an answer.
  takeBack(id) {
    return inTurn(async () => {
      const record = await recordOf(id);
      if (record?.state === "open") return record;
      if (record?.state !== "ready" || record.isOnItsWay) return null;
      const opened = { ...record, state: "open" };
      await keep(opened);
      return opened;
    });
  }

  async _sendOne(id) {
    const record = await recordOf(id); // another tab may have sent it meanwhile
    if (record?.state !== "ready") return null;
    if (navigator.onLine && !record.isOnItsWay) await keep(Object.assign(record, { isOnItsWay: true }));
    const kind = this._kinds[record.kind];
    const body = { ...kind.body(record, await entries(id)), sent_at: new Date().toISOString() };
    const { status, body: answer } = await ask("PUT", kind.address(record), { body, signal: AbortSignal.timeout(PATIENCE_MS) }).catch(
      () => ({ status: 0 }),
    );
    if ((status === 200 || status === 201) && answer?.id === id) {
      await keepAnswer({ ...record, state: "sent", sentAt: body.sent_at, refused: null, answer: kind.answer(answer) });
      return null;
    }
    if (status === 401 || (status === 403 && !csrfToken())) return SIGNED_OUT; // a session that is gone may take its token along
    if (status === 0) return NO_SIGNAL;
    if (status >= 500 || status < 400 || status === 429) return FAILING;
    const { code = "", message = `The server answered ${status}.`, fields = {} } = answer?.error ?? {};
    await keep({ ...record, isOnItsWay: false, refused: { code, sentence: message, fields } });
    return null;
  }
}
