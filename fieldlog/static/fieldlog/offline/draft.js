// A record that this tab alone works on. Every change is kept as it comes.

import { hold } from "./hold.js";
import { keep, keepTyped, recordOf } from "./store.js";

const RESTING_MS = 1_000;

export class Draft {
  // `wrong(error)` hears when the device did not keep what was typed, and null when it did again.
  constructor(wrong) {
    Object.assign(this, { _wrong: wrong, record: null, _keeping: Promise.resolve(), _isWaiting: false, _resting: null });
    document.addEventListener("visibilitychange", () => document.hidden && this._toDisk());
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

  // At once, or when the change before is kept, with all that came meanwhile.
  change(changes) {
    this.record = { ...this.record, ...changes };
    clearTimeout(this._resting);
    this._resting = setTimeout(() => this._toDisk(), RESTING_MS);
    if (this._isWaiting) return;
    this._isWaiting = true;
    this._keeping = this._keeping.then(() => {
      this._isWaiting = false;
      return this._keep(this.record, keepTyped);
    });
  }

  // Whether `keeping(record)` has kept the record with what `changed(record)` makes another of it.
  keepWith(changed, keeping) {
    const kept = this._keeping.then(async () => {
      const changes = changed(this.record);
      if (!(await this._keep({ ...this.record, ...changes }, keeping))) return false;
      this.record = { ...this.record, ...changed(this.record) }; // it may have grown meanwhile
      return true;
    });
    this._keeping = kept;
    return kept;
  }

  // Whether it is on the device, ready to be sent.
  async finish(changes = {}) {
    await this._toDisk();
    const open = this.record;
    this.record = { ...open, ...changes, state: "ready", refused: null, isOnItsWay: false }; // what changes now is ready too
    if (!(await this._keep(this.record, keep))) {
      this.record = open;
      return false;
    }
    await this.letGo();
    return true;
  }

  async letGo() {
    do await this._toDisk();
    while (this._resting !== null); // it may change meanwhile
    this._release?.();
    this._release = this.record = null;
  }

  // What was typed is with the system at once, which outlives the browser; for a battery that dies it is put on disk too,
  // once the typing rests.
  _toDisk() {
    if (this._resting === null) return this._keeping;
    clearTimeout(this._resting);
    this._resting = null;
    this._keeping = this._keeping.then(() => this._keep(this.record, keep));
    return this._keeping;
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
