// The plots around what is drawn or chosen: those in view alone, so that a property of thousands costs what a small one
// does. They are drawn and named; corners can snap to them, and a tap can choose them.

import { Latest } from "../../site/asking.js";
import { wordsOn } from "../map_labels.js";
import { bboxOf } from "../places.js";

const PAUSE_MS = 250;
const MARGIN = 0.3; // of the view, to each side

export class Around {
  // `but` is the plot that is left out, `look` the class of an outline and `marked` that of a marked one; plots are
  // named from a width of `namedFrom` pixels. `changed()` hears that others are there, `tapped(properties)` which plot
  // was tapped, and said(sentence, status) why they could not be had, with what `otherwise` says that follows from it;
  // the sentence is empty when they are there.
  constructor(map, { address, but = null, look, marked = "", namedFrom = Infinity, otherwise = "", said = () => {}, changed = () => {}, tapped = null }) {
    Object.assign(this, { _map: map, _address: address, _but: but, _look: look, _marked: marked, _namedFrom: namedFrom });
    Object.assign(this, { _otherwise: otherwise, _said: said, _changed: changed });
    this.features = [];
    this._ids = new Set();
    this._question = new Latest();
    this._layer = L.geoJSON([], {
      interactive: tapped !== null,
      style: ({ properties: { id } }) => ({ className: `outline ${look}${this._ids.has(id) ? ` ${marked}` : ""}` }),
      onEachFeature: ({ properties }, path) => tapped && path.on("click", () => tapped(properties)),
    }).addTo(map);
    this._names = L.layerGroup().addTo(map);
    map.on("moveend", () => this._moved(PAUSE_MS));
    this._moved(0);
  }

  // Marks the plots with these ids, now and when they come into view.
  mark(ids) {
    this._ids = new Set(ids);
    this._layer.eachLayer((path) => path.getElement()?.classList.toggle(this._marked, this._ids.has(path.feature.properties.id)));
  }

  async _moved(pause_ms) {
    this._name();
    const view = this._map.getBounds();
    if (this._known?.contains(view)) {
      this._question.drop(); // it was about a view that was left again
      return;
    }
    const wider = view.pad(MARGIN);
    const answer = await this._question.ask("GET", this._addressOf(wider), { pause_ms });
    if (!answer) return;
    const { status, body } = answer;
    if (status === 200) this._draw(body.features, wider);
    else this._said(status === 0 ? `The plots around it could not be fetched; ${this._otherwise}.` : body?.error?.message ?? "", status);
  }

  _addressOf(view) {
    const query = new URLSearchParams({ bbox: bboxOf(view) });
    if (this._but !== null) query.set("but", this._but);
    return `${this._address}?${query}`;
  }

  _draw(features, view) {
    this._known = view;
    this._said("", 200);
    this.features = features.filter(({ geometry }) => geometry);
    this._layer.clearLayers();
    this._layer.addData(this.features);
    this._name();
    this._changed();
  }

  // A name on each that is wide enough to carry it.
  _name() {
    this._names.clearLayers();
    const map = this._map;
    const view = map.getBounds();
    this._layer.eachLayer((path) => {
      const bounds = path.getBounds();
      if (!view.intersects(bounds)) return;
      if (map.latLngToLayerPoint(bounds.getNorthEast()).x - map.latLngToLayerPoint(bounds.getSouthWest()).x < this._namedFrom) return;
      this._names.addLayer(wordsOn(path.feature.geometry, "editor-name", path.feature.properties.name));
    });
  }
}
