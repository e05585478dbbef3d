// The pictures of a visit: taken, looked at, captioned, thrown away. A picture and the record that names it are kept
// together or not at all.

import { newId } from "../offline/ids.js";
import { element, part, screen, show, sureButton } from "../offline/screens.js";
import { dropPhoto, keepWithPhoto, photosOf } from "../offline/store.js";
import { moment } from "../offline/words.js";
import { farWords, wayTo, wayWords } from "./ground.js";
import { button } from "./keypad.js";
import { Compass, canHash, preview, reduced } from "./picture.js";
import { askChips } from "./tallies.js";
import { placeOf } from "./where.js";

const PREVIEW_PX = 480;
const FRESH_MS = 5 * 60_000;
const WAYS = [0, 45, 90, 135, 180, 225, 270, 315].map((deg) => ({ value: String(deg), label: wayWords(deg) }));

export class Photos {
  constructor(at, visits) {
    Object.assign(this, { _at: at, _visits: visits, _screen: screen("photos"), _compass: new Compass(), _point: null, backTo: null });
    for (const name of ["camera", "chosen"]) {
      part(name, this._screen).addEventListener("click", () => this._compass.start());
      part(name, this._screen).addEventListener("change", ({ target }) => this._take(target, name === "camera"));
    }
    part("done", this._screen).addEventListener("click", () => at.go(this.backTo ?? visits.hash));
  }

  // `readingId` is the reading that the next pictures belong to, or null.
  async open(readingId) {
    Object.assign(this, { _readingId: readingId, _point: null });
    if (!readingId) this.backTo = null;
    this._say(canHash() ? "" : "This page was not opened over https, so a picture cannot be told apart and sent. Open it by its https address.");
    for (const name of ["camera", "chosen"]) part(name, this._screen).disabled = !canHash();
    this._paintPoints();
    await this._paintPictures();
    show("photos");
  }

  get _record() {
    return this._visits.record;
  }

  _say(sentence) {
    part("wrong", this._screen).textContent = sentence;
  }

  async _take(input, isCamera) {
    const files = [...input.files];
    input.value = "";
    this._say("");
    for (const file of files) {
      part("busy", this._screen).textContent = "Keeping the picture …";
      await this._keep(file, isCamera).catch((error) => this._say(`${file.name} is not a picture that this browser can read (${error.message}); JPEG, PNG or WebP is accepted.`));
    }
    part("busy", this._screen).textContent = "";
    await this._paintPictures();
  }

  async _keep(file, isCamera) {
    const isFresh = isCamera || Date.now() - file.lastModified < FRESH_MS;
    const { bytes, ...facts } = await reduced(file);
    if (this._record.photos.some(({ sha256 }) => sha256 === facts.sha256)) {
      this._say("This picture is here already.");
      return;
    }
    const photo = {
      id: newId(),
      ...facts,
      size: bytes.byteLength,
      taken_at: new Date(isFresh ? Date.now() : file.lastModified).toISOString(),
      place: isFresh ? placeOf(this._at.where.now) : null,
      bearing_deg: this._point?.bearing_deg ?? (isFresh && this._compass.heading !== null ? Math.round(this._compass.heading) : null),
      caption: "",
      reading_id: this._readingId,
      point_id: this._point?.id ?? null,
    };
    const isKept = await this._at.draft.keepWith(({ photos }) => ({ photos: [...photos, photo] }), (record) => keepWithPhoto(record, { ...photo, bytes }));
    if (!isKept) this._say("NOT SAVED: this phone did not keep the picture. Make room on it and take it again.");
  }

  async _paintPictures() {
    const bytes = new Map((await photosOf(this._record.id)).map((each) => [each.id, each]));
    const rows = await Promise.all(this._record.photos.map((photo) => this._row(photo, bytes.get(photo.id))));
    part("pictures", this._screen).replaceChildren(...rows);
  }

  async _row(photo, kept) {
    const shown = kept ? await preview(kept, PREVIEW_PX).catch(() => null) : null;
    shown?.setAttribute("aria-hidden", "true");
    const told = [moment(photo.taken_at), photo.place ? "place known" : "no place", photo.width ? `${photo.width} × ${photo.height}` : "", photo.point_id ? this._pointName(photo.point_id) : ""];
    const facts = element("p", { className: "help", textContent: told.filter(Boolean).join(" · ") });
    if (photo.state && photo.state !== "refused") return element("li", {}, shown, facts, element("p", { className: "help", textContent: "The server knows this picture." }));
    const caption = element("input", { type: "text", maxLength: 300, value: photo.caption, autocomplete: "off" });
    caption.addEventListener("input", () => this._change(photo.id, { caption: caption.value }));
    const wrong = photo.refused ? element("p", { className: "error-text", textContent: photo.refused.sentence }) : null;
    return element("li", {}, shown, facts, wrong, element("label", { className: "field-other" }, "What it shows", caption), this._wayOf(photo), sureButton("Throw this picture away", "Throw it away for good?", () => this._drop(photo.id)));
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

  async _drop(id) {
    await this._at.draft.keepWith(({ photos }) => ({ photos: photos.filter((each) => each.id !== id) }), (record) => dropPhoto(record.id, id, record));
    await this._paintPictures();
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
