// Where the phone is, as it last said. Never needed.

const FRESH_MS = 2 * 60_000;

export class Where {
  // `heard()` is called with every new position and whenever it becomes known that there is none.
  constructor(heard) {
    Object.assign(this, { _heard: heard, trouble: null, _last: null });
  }

  get canBe() {
    return isSecureContext && "geolocation" in navigator;
  }

  get isOn() {
    return this._watch !== undefined;
  }

  // { lon, lat, accuracy_m, at } of the last two minutes, or null.
  get now() {
    return this._last && Date.now() - this._last.at < FRESH_MS ? this._last : null;
  }

  // Begins by itself only where the person allowed it before.
  async startIfAllowed() {
    const permission = await navigator.permissions?.query({ name: "geolocation" }).catch(() => null);
    if (permission?.state === "granted") this.start();
  }

  start() {
    if (!this.canBe || this.isOn) return;
    this._watch = navigator.geolocation.watchPosition(
      ({ coords }) => {
        this._last = { lon: coords.longitude, lat: coords.latitude, accuracy_m: coords.accuracy, at: Date.now() };
        this.trouble = null;
        this._heard();
      },
      ({ code }) => {
        this.trouble = code === 1 ? "denied" : "silent";
        if (code === 1) this._stop();
        this._heard();
      },
      { enableHighAccuracy: true, maximumAge: 5_000, timeout: 30_000 },
    );
    this._heard();
  }

  _stop() {
    navigator.geolocation.clearWatch(this._watch);
    this._watch = undefined;
  }
}

// As it is kept with a record: to a few inches.
export function placeOf(position) {
  if (!position) return null;
  const { lon, lat, accuracy_m } = position;
  return { lon: Number(lon.toFixed(7)), lat: Number(lat.toFixed(7)), accuracy_m: accuracy_m === null ? null : Number(accuracy_m.toFixed(1)) };
}
