// The pictures of a visit: by photo points, with a caption and the way they look.

import { element, part, screen, show } from "../offline/screens.js";
import { farWords, wayTo, wayWords } from "./ground.js";
import { button } from "./keypad.js";
import { Compass } from "./picture.js";
import { Pictures } from "./pictures.js";
import { askChips } from "./tallies.js";
import { placeOf } from "./where.js";

const FRESH_MS = 5 * 60_000;
const WAYS = [0, 45, 90, 135, 180, 225, 270, 315].map((deg) => ({ value: String(deg), label: wayWords(deg) }));

const INPUTS = ["camera", "chosen"];

export class Photos {
  constructor(at, visits) {
    Object.assign(this, { _at: at, _visits: visits, _screen: screen("photos"), _compass: new Compass(), _point: null, backTo: null });
    for (const name of INPUTS) part(name, this._screen).addEventListener("click", () => this._compass.start());
    this._pictures = new Pictures({
      draft: at.draft,
      at: this._screen,
      inputs: INPUTS,
      wrong: "wrong",
      factsOf: (file, name) => this._factsOf(file, name === "camera"),
      toldOf: (photo) => [photo.width ? `${photo.width} × ${photo.height}` : "", photo.point_id ? this._pointName(photo.point_id) : ""],
      asksOf: (photo) => [this._captionOf(photo), this._wayOf(photo)],
    });
    part("done", this._screen).addEventListener("click", () => at.go(this.backTo ?? visits.hash));
  }

  // `readingId` is the reading that the next pictures belong to, or null.
  async open(readingId) {
    Object.assign(this, { _readingId: readingId, _point: null });
    if (!readingId) this.backTo = null;
    this._paintPoints();
    await this._pictures.open();
    show("photos");
  }

  get _record() {
    return this._visits.record;
  }

  _factsOf(file, isCamera) {
    const isFresh = isCamera || Date.now() - file.lastModified < FRESH_MS;
    return {
      taken_at: new Date(isFresh ? Date.now() : file.lastModified).toISOString(),
      place: isFresh ? placeOf(this._at.where.now) : null,
      bearing_deg: this._point?.bearing_deg ?? (isFresh && this._compass.heading !== null ? Math.round(this._compass.heading) : null),
      reading_id: this._readingId,
      point_id: this._point?.id ?? null,
    };
  }

  _captionOf(photo) {
    const caption = element("input", { type: "text", maxLength: 300, value: photo.caption, autocomplete: "off" });
    caption.addEventListener("input", () => this._change(photo.id, { caption: caption.value }));
    return element("label", { className: "field-other" }, "What it shows", caption);
  }

  _wayOf(photo) {
    const value = photo.bearing_deg === null ? null : String((Math.round(photo.bearing_deg / 45) % 8) * 45);
    const chips = askChips({ label: "Looking", choices: WAYS }, { value, set: (way) => this._change(photo.id, { bearing_deg: way === null ? null : Number(way) }) });
    const words = value === null ? "Which way it looks" : `Looks ${wayWords(photo.bearing_deg)}`;
    return element("details", {}, element("summary", {}, element("span", { textContent: words })), chips);
  }

  _change(id, changes) {
    this._at.draft.change({ photos: this._record.photos.map((each) => (each.id === id ? { ...each, ...changes } : each)) });
  }

  get _points() {
    const facts = this._at.facts();
    return (facts?.photo_points ?? []).filter(({ plot_id }) => plot_id === this._record.plot.id);
  }

  _pointName(id) {
    return this._points.find((each) => each.id === id)?.name ?? "photo point";
  }

  _paintPoints() {
    const points = this._points;
    part("points-part", this._screen).hidden = !points.length;
    const choose = (point) => {
      this._point = this._point?.id === point.id ? null : point;
      paint();
    };
    const made = points.map((point) => button(point.name, () => choose(point)));
    const paint = () => {
      made.forEach((each, i) => each.setAttribute("aria-pressed", String(points[i].id === this._point?.id)));
      part("point-told", this._screen).hidden = !this._point;
      part("point-told", this._screen).textContent = this._point ? this._pointTold(this._point) : "";
    };
    part("points", this._screen).replaceChildren(...made);
    paint();
  }

  // 'Stand at Gate: 120 ft north-east of you. Look east (90°).'
  _pointTold({ name, lon, lat, bearing_deg, note }) {
    const here = this._at.where.now;
    const far = here && lon !== null ? `: ${farWords(wayTo([here.lon, here.lat], [lon, lat]))} of you` : "";
    const look = bearing_deg === null ? "" : ` Look ${wayWords(bearing_deg)} (${Math.round(bearing_deg)}°).`;
    return `Stand at ${name}${far}.${look}${note ? ` ${note}` : ""}`;
  }
}
