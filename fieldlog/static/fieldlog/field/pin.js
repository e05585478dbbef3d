// A pin on the outline of the plot: where you stand, or where the drawing is tapped.

import { FT_A_M, feetText } from "../../plots/units.js";
import { element } from "../offline/screens.js";
import { button } from "./keypad.js";
import { drawGround, drawn } from "./sketch.js";
import { placeOf } from "./where.js";

const NUDGE = 2; // of the drawing's hundred

export class PinAsk {
  // `outline` is a Feature or null, `place` what was pinned before; `set(place)` hears every change.
  constructor({ outline, where, place, set }) {
    Object.assign(this, { _outline: outline, _where: where, _place: place, _set: set });
    this._svg = drawn("svg", { class: "field-map field-pin-map", role: "img", "aria-label": "The plot's outline, north up; tap where it is" });
    this._svg.addEventListener("click", (event) => this._tap(event));
    this._told = element("p", { className: "field-here" });
    this._told.setAttribute("role", "status");
    this._here = button("Where I stand", () => this._put(placeOf(where.now)));
    const nudges = [["north", 0, -1], ["south", 0, 1], ["west", -1, 0], ["east", 1, 0]].map(([name, x, y]) => button(`A little ${name}`, () => this._nudge(x, y)));
    this._nudges = element("details", {}, element("summary", {}, element("span", { textContent: "Move the pin with buttons" })), element("div", { className: "acts" }, ...nudges));
    this._clear = button("Take the pin away", () => this._put(null), "quiet");
    this._find = button("Find where I stand", () => where.start());
    this.element = element("div", {}, this._told, this._svg, element("div", { className: "acts" }, this._here, this._find, this._clear), this._nudges);
    this._paint();
  }

  moved() {
    if (this.element.isConnected) this._paint();
  }

  _put(place) {
    this._place = place;
    this._set(place);
    this._paint();
  }

  _tap(event) {
    if (!this._frame) return;
    const box = this._svg.getBoundingClientRect();
    const [x, y] = [((event.clientX - box.left) / box.width) * 100, ((event.clientY - box.top) / box.height) * 75];
    this._putAt(this._frame.toPlace([x, y]));
  }

  _nudge(x, y) {
    const [x0, y0] = this._place ? this._frame.toBox([this._place.lon, this._place.lat]) : [50, 37.5];
    this._putAt(this._frame.toPlace([x0 + x * NUDGE, y0 + y * NUDGE]));
  }

  // A place that was pointed at has no accuracy that anybody measured.
  _putAt([lon, lat]) {
    this._put(placeOf({ lon, lat, accuracy_m: null }));
  }

  _paint() {
    const here = this._where.now;
    this._frame = drawGround(this._svg, { plots: this._outline?.geometry ? [this._outline] : [], here, pin: this._place });
    this._svg.toggleAttribute("hidden", !this._frame);
    this._nudges.hidden = !this._frame;
    this._here.hidden = !here;
    this._find.hidden = !this._where.canBe || this._where.isOn;
    this._clear.hidden = !this._place;
    this._told.textContent = this._words(here);
  }

  _words(here) {
    const within = here ? `You are known within ${feetText(here.accuracy_m * FT_A_M)}.` : "";
    if (!this._place) return `${this._frame ? "Tap the drawing where it is, or pin where you stand." : "This plot has no outline; pin where you stand."} ${within}`;
    return this._place.accuracy_m === null ? "Pinned where the drawing was tapped." : `Pinned where you stood, within ${feetText(this._place.accuracy_m * FT_A_M)}.`;
  }
}
