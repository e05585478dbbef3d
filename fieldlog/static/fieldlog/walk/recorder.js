// Listens to the device's position and keeps every fix at once. It keeps the screen awake, since a locked phone may stop
// telling where it is.

import { hold } from "../offline/hold.js";
import { addEntries, countEntries, keep } from "../offline/store.js";

export const MOST_FIXES = 20_000; // what the server takes of one walk

// Who stands still at the start has no newer position to wait for.
const FRESH_MS = 15_000;

export const DENIED = "denied";
export const SILENT = "silent";
export const NOT_KEPT = "not-kept";
export const KEPT = "kept"; // what was not kept before
export const FULL = "full";

export class Recorder {
  // `seen(fix)` hears every position, also while nothing is recorded; `wrong(what)` what went wrong, or null when it is
  // well again.
  constructor({ seen, wrong }) {
    Object.assign(this, { _seen: seen, _wrong: wrong, record: null, fixes: [], _keeping: Promise.resolve() });
    document.addEventListener("visibilitychange", () => this._stayAwake());
  }

  get isRecording() {
    return this.record !== null && !this.record.isPaused;
  }

  listen() {
    if (this._watch !== undefined || !navigator.geolocation) return;
    this._watch = navigator.geolocation.watchPosition(
      (position) => {
        this._last = { position, at: Date.now() };
        this._take(position);
      },
      ({ code }) => this._wrong(code === 1 ? DENIED : SILENT),
      { enableHighAccuracy: true, maximumAge: 0, timeout: 30_000 },
    );
  }

  // Goes on with a record that is open, here alone: false where another tab has it.
  async take(record, fixes) {
    const release = await hold(record.id);
    if (!release) return false;
    this._release = release;
    const kept = await countEntries(record.id).catch(() => 0);
    Object.assign(this, { record, fixes, _track: { id: record.id, fixes, kept, isWrong: false } });
    return true;
  }

  async go() {
    this.record.isPaused = false;
    if (this.fixes.length) this.record.stretch = this.fixes.at(-1)[4] + 1;
    await this._keepRecord();
    this.listen();
    if (this._last && Date.now() - this._last.at < FRESH_MS) this._take(this._last.position);
    this._stayAwake();
  }

  async pause() {
    this.record.isPaused = true;
    await this._keepFixes();
    await this._keepRecord();
    this._stayAwake();
  }

  // Lets go of the record, which stays as it is.
  stop() {
    if (this._watch !== undefined) navigator.geolocation.clearWatch(this._watch);
    this._watch = undefined;
    this.record = null;
    this.fixes = [];
    this._release?.();
    this._stayAwake();
  }

  _take({ coords }) {
    this._wrong(null);
    const at_ms = this.record ? Math.max(0, Date.now() - Date.parse(this.record.startedAt)) : 0;
    const fix = [coords.longitude, coords.latitude, Math.max(0.001, coords.accuracy), at_ms, this.record?.stretch ?? 0];
    if (this.isRecording) this._store(fix);
    this._seen(fix);
  }

  _store(fix) {
    if (this.fixes.length >= MOST_FIXES) {
      this._wrong(FULL);
      return;
    }
    this.fixes.push(fix);
    this._keepFixes();
  }

  // All that is not kept yet, in its order: what the device did not take is tried again with the next position.
  _keepFixes() {
    const track = this._track;
    this._keeping = this._keeping.then(async () => {
      const upTo = track.fixes.length;
      if (track.kept >= upTo) return;
      try {
        await addEntries(track.id, track.kept, track.fixes.slice(track.kept));
        track.kept = upTo;
        if (track.isWrong) this._wrong(KEPT);
        track.isWrong = false;
      } catch {
        track.isWrong = true;
        this._wrong(NOT_KEPT);
      }
    });
    return this._keeping;
  }

  async _keepRecord() {
    this.record.count = this.fixes.length;
    await keep(this.record).catch(() => this._wrong(NOT_KEPT));
  }

  // The browser takes the lock back whenever the page is hidden.
  async _stayAwake() {
    if (!this.isRecording) {
      await this._lock?.release().catch(() => null);
      this._lock = null;
    } else if (document.visibilityState === "visible" && "wakeLock" in navigator) {
      this._lock = await navigator.wakeLock.request("screen").catch(() => null);
      if (!this.isRecording) this._stayAwake(); // it was stopped meanwhile
    }
  }
}
