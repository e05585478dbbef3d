// The pictures of a record: taken, looked at, thrown away. A picture and the record that names it are kept together or not
// at all.

import { newId } from "../offline/ids.js";
import { element, part, sureButton } from "../offline/screens.js";
import { dropPhoto, keepWithPhoto, photosOf } from "../offline/store.js";
import { moment } from "../offline/words.js";
import { canHash, preview, reduced } from "./picture.js";

const PREVIEW_PX = 480;

export class Pictures {
  // `draft` has the record. Of the screen `at`, `inputs` are the names of the parts that take files, `wrong` of the one that
  // says what went wrong. `factsOf(file, name)` is what is known of a new picture; `toldOf(photo)` words that stand below
  // it, and `asksOf(photo)` what may be said of it.
  constructor({ draft, at, inputs, wrong, factsOf, toldOf = () => [], asksOf = () => [] }) {
    Object.assign(this, { _draft: draft, _at: at, _inputs: inputs, _wrong: wrong, _factsOf: factsOf, _toldOf: toldOf, _asksOf: asksOf });
    for (const name of inputs) part(name, at).addEventListener("change", ({ target }) => this._take(target, name));
  }

  async open() {
    this._say(canHash() ? "" : "This page was not opened over https, so a picture cannot be told apart and sent. Open it by its https address.");
    for (const name of this._inputs) part(name, this._at).disabled = !canHash();
    await this._paint();
  }

  _say(sentence) {
    part(this._wrong, this._at).textContent = sentence;
  }

  async _take(input, name) {
    const files = [...input.files];
    input.value = "";
    this._say("");
    for (const file of files) {
      part("busy", this._at).textContent = "Keeping the picture …";
      await this._keep(file, name).catch((error) => this._say(`${file.name} is not a picture that this browser can read (${error.message}); JPEG, PNG or WebP is accepted.`));
    }
    part("busy", this._at).textContent = "";
    await this._paint();
  }

  async _keep(file, name) {
    const { bytes, ...facts } = await reduced(file);
    if (this._draft.record.photos.some(({ sha256 }) => sha256 === facts.sha256)) {
      this._say("This picture is here already.");
      return;
    }
    const photo = { id: newId(), ...facts, size: bytes.byteLength, bearing_deg: null, caption: "", ...this._factsOf(file, name) };
    const isKept = await this._draft.keepWith(({ photos }) => ({ photos: [...photos, photo] }), (record) => keepWithPhoto(record, { ...photo, bytes }));
    if (!isKept) this._say("NOT SAVED: this phone did not keep the picture. Make room on it and take it again.");
  }

  async _paint() {
    const { id, photos } = this._draft.record;
    const bytes = new Map((await photosOf(id)).map((each) => [each.id, each]));
    const rows = await Promise.all(photos.map((photo) => this._row(photo, bytes.get(photo.id))));
    part("pictures", this._at).replaceChildren(...rows);
  }

  async _row(photo, kept) {
    const shown = kept ? await preview(kept, PREVIEW_PX).catch(() => null) : null;
    shown?.setAttribute("aria-hidden", "true");
    const words = [moment(photo.taken_at), photo.place ? "place known" : "no place", ...this._toldOf(photo)];
    const told = element("p", { className: "help", textContent: words.filter(Boolean).join(" · ") });
    if (photo.state && photo.state !== "refused") return element("li", {}, shown, told, element("p", { className: "help", textContent: "The server knows this picture." }));
    const wrong = photo.refused ? element("p", { className: "error-text", textContent: photo.refused.sentence }) : null;
    return element("li", {}, shown, told, wrong, ...this._asksOf(photo), sureButton("Throw this picture away", "Throw it away for good?", () => this._drop(photo.id)));
  }

  async _drop(id) {
    await this._draft.keepWith(({ photos }) => ({ photos: photos.filter((each) => each.id !== id) }), (record) => dropPhoto(record.id, id, record));
    await this._paint();
  }
}
