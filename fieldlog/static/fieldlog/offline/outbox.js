// Sends what is ready: the records first, then their pictures, one after the other. A record leaves the device only after
// the server has said its id back, a picture after it has said its hash back; sent twice, each is one there.

import { heard, partlyRefused, without } from "./parts.js";
import { report } from "./phone.js";
import { FAILING, NO_SIGNAL, refusalIn, sendFacts, sendPicture, stoppedBy } from "./sending.js";
import { changeRecord, entries, keep, keepAll, keepAnswer, photoBytes, picturesLeft, recordOf, unsent } from "./store.js";

export { FAILING, NO_SIGNAL, PHONE_ENDED, SIGNED_OUT } from "./sending.js";

const ONE_BY_ONE = 5; // as many go singly, where a kind can send many at once
const FIRST_PAUSE_MS = 2_000;
const LONGEST_PAUSE_MS = 5 * 60_000;

// Over plain http a browser has no locks. Two tabs may then both send a record, which is one at the server.
const inTurn = (work) => (navigator.locks ? navigator.locks.request("swardbook outbox", work) : work());

const isTaken = ({ status, body }, id) => (status === 200 || status === 201) && body?.id === id;

// `kinds` says of each kind of record what kinds.js tells; `changed(stopped)` is called whenever something was sent or
// refused.
export class Outbox {
  constructor({ kinds, changed }) {
    Object.assign(this, { _kinds: kinds, _changed: changed, _failures: 0, _isReported: false });
    addEventListener("online", () => this.send());
    document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && this.send());
  }

  // Gives why it stopped, or null when nothing is left that could be sent.
  send() {
    this._isAskedAgain = Boolean(this._running);
    this._running ??= this._run().finally(() => (this._running = null));
    return this._running;
  }

  async _run() {
    clearTimeout(this._later);
    let stopped;
    do {
      this._isAskedAgain = false;
      this._wasFailing = null;
      stopped = (await this._sendRecords()) ?? (await this._sendPictures()) ?? this._wasFailing;
    } while (!stopped && this._isAskedAgain);
    this._tryLater(stopped);
    report({ always: !this._isReported }).then((answer) => (this._isReported ||= Boolean(answer)), () => null);
    this._changed(stopped);
    return stopped;
  }

  // By itself, after a pause that doubles as long as nothing comes through.
  _tryLater(stopped) {
    const isHopeful = stopped === FAILING || (stopped === NO_SIGNAL && navigator.onLine);
    this._failures = isHopeful ? this._failures + 1 : 0;
    if (!isHopeful) return;
    const pause = Math.min(LONGEST_PAUSE_MS, FIRST_PAUSE_MS * 2 ** (this._failures - 1));
    this._later = setTimeout(() => this.send(), pause * (0.75 + Math.random() / 2)); // not all phones at once
  }

  // Opens a record that waits, so that it can be changed; null where it was sent, or may have been without an answer.
  takeBack(id) {
    return inTurn(async () => {
      const record = await recordOf(id);
      if (record?.state === "open") return record;
      if (record?.state !== "ready" || record.isOnItsWay || (record.heardAt && !record.refused)) return null;
      const opened = { ...record, state: "open", heardAt: null };
      await keep(opened);
      return opened;
    });
  }

  // Throws away a reading or a picture that the server did not take; what is left of the record is sent again.
  async dropPart(recordId, partId) {
    await inTurn(() => changeRecord(recordId, (record) => without(record, partId), [partId]));
    return this.send();
  }

  async _sendRecords() {
    const ready = (await unsent()).filter(this._isToBeTold); // the oldest first, so work found here goes before what was done on it
    return this._each(this._parcels(ready), (ids) => (ids.length > 1 ? this._sendMany(ids) : this._sendOne(ids[0])));
  }

  // One that the server fails at does not hold up the others; two running are a server that fails.
  async _each(all, send) {
    let running = 0;
    for (const one of all) {
      const stopped = await inTurn(() => send(one));
      running = stopped ? running + 1 : 0;
      if (stopped && (stopped !== FAILING || running > 1)) return stopped;
      this._wasFailing ??= stopped;
      if (stopped === null) this._failures = 0; // something came through
      this._changed(null);
    }
    return null;
  }

  _isToBeTold = (record) => record?.state === "ready" && record.kind in this._kinds && (!record.heardAt || record.refused);

  // Lists of ids: records of one kind, property and person together, where many wait and none was refused before.
  _parcels(records) {
    const alike = new Map();
    for (const record of records) {
      const { id, kind, slug, user, refused } = record;
      const name = this._kinds[kind].batch && !refused ? `${kind} ${slug} ${user?.id}` : id;
      alike.set(name, [...(alike.get(name) ?? []), record]);
    }
    return [...alike.values()].flatMap((all) => {
      const many = all.length > ONE_BY_ONE ? this._kinds[all[0].kind].batch.most : 1;
      return Array.from({ length: Math.ceil(all.length / many) }, (_, i) => all.slice(i * many, (i + 1) * many).map(({ id }) => id));
    });
  }

  // As they are now: another tab may have sent some meanwhile.
  async _begun(ids) {
    const records = (await Promise.all(ids.map(recordOf))).filter(this._isToBeTold);
    const leaving = records.filter(({ isOnItsWay }) => navigator.onLine && !isOnItsWay);
    leaving.forEach((record) => (record.isOnItsWay = true));
    if (leaving.length) await keepAll(leaving);
    return records;
  }

  async _bodyOf(record) {
    return this._kinds[record.kind].body(record, await entries(record.id));
  }

  async _sendOne(id) {
    const [record] = await this._begun([id]);
    if (!record) return null;
    const answer = await sendFacts("PUT", this._kinds[record.kind].address(record), await this._bodyOf(record), record);
    return this._settle(record, answer);
  }

  async _sendMany(ids) {
    const records = await this._begun(ids);
    if (!records.length) return null;
    const { batch } = this._kinds[records[0].kind];
    const bodies = await Promise.all(records.map(async (record) => ({ id: record.id, ...(await this._bodyOf(record)) })));
    const answer = await sendFacts("POST", batch.address(records[0]), batch.wrap(bodies, records[0]), records[0]);
    const stopped = answer.body?.answers ? null : stoppedBy(answer);
    if (stopped) return stopped;
    const said = new Map((answer.body?.answers ?? []).map((each) => [each.id, each]));
    for (const record of records) {
      const each = said.get(record.id);
      // What a batch does not tell of goes by itself, so that one record never holds up the others.
      const halted = each ? await this._settle(record, { status: each.status, body: each.visit ?? { error: each.error } }) : await this._sendOne(record.id);
      if (halted) return halted;
    }
    return null;
  }

  async _settle(record, answer) {
    if (isTaken(answer, record.id)) {
      await this._keepHeard(record, answer.body);
      return null;
    }
    const stopped = stoppedBy(answer);
    if (stopped) return stopped;
    await changeRecord(record.id, (now) => (isAsSent(now, record) ? { ...record, isOnItsWay: false, refused: refusalIn(answer) } : now));
    return null;
  }

  async _keepHeard(record, said) {
    const kind = this._kinds[record.kind];
    const now = new Date().toISOString();
    const after = { ...heard(record, Array.isArray(said.refused) ? said.refused : []), isOnItsWay: false, heardAt: now, answer: kind.answer(said) };
    after.refused = partlyRefused(after);
    const isHere = new Set((said.photos ?? []).filter((photo) => photo.is_here).map(({ sha256 }) => sha256));
    const gone = (after.photos ?? []).filter(({ sha256 }) => isHere.has(sha256)).map(({ id }) => id);
    await changeRecord(record.id, (now, left) => (isAsSent(now, record) ? settled(withPictures(after, gone), left) : now), gone);
    const stored = await recordOf(record.id);
    if (stored?.state === "sent") await keepAnswer(stored);
  }

  async _sendPictures() {
    return this._each(await picturesLeft(), (picture) => this._sendPicture(picture));
  }

  async _sendPicture(picture) {
    const record = await recordOf(picture.record);
    const isReady = record?.state === "ready" && record.heardAt && record.photos?.some(({ id, state }) => id === picture.id && state !== "refused");
    const bytes = isReady ? await photoBytes(picture.id) : null;
    if (!bytes) return undefined;
    const answer = await sendPicture(picture, bytes, record);
    if ((answer.status === 200 || answer.status === 201) && answer.body?.sha256 === picture.sha256) {
      await changeRecord(record.id, (now, left) => settled(withPictures(now, [picture.id]), left), [picture.id]);
      return null;
    }
    const stopped = stoppedBy(answer);
    if (stopped) return stopped;
    const refusal = { id: picture.id, ...refusalIn(answer) };
    await changeRecord(record.id, (now) => withRefusedPicture(now, refusal));
    return null;
  }
}

// A record that may change while it is under way counts its `turn`; another one is sent again.
const isAsSent = (now, sent) => now.turn === sent.turn;

const withPictures = (record, ids) => ({
  ...record,
  photos: record.photos?.map((photo) => (ids.includes(photo.id) ? { ...photo, state: "sent", refused: null } : photo)),
});

function withRefusedPicture(record, { id, ...refused }) {
  const after = { ...record, photos: record.photos.map((photo) => (photo.id === id ? { ...photo, state: "refused", refused } : photo)) };
  return { ...after, refused: partlyRefused(after) };
}

// Sent is what the server has whole.
const settled = (record, left) => (left || record.refused ? record : { ...record, state: "sent", sentAt: new Date().toISOString() });
