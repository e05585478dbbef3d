// Acres and perimeter of what is drawn. While it is under way the browser has a rough figure, marked as such; the
// server's takes its place as soon as it comes, and an answer that has been overtaken is dropped.

import { Latest } from "../../site/asking.js";
import { acresText, feetText } from "../units.js";
import { roughFigures } from "./rough.js";

const PAUSE_MS = 180;

function statedOf({ acres, overlaps, doubts }) {
  if (acres === null) return "No figure until the outline is clean: see below.";
  if (overlaps.length) return `Measured by the server. It overlaps ${overlaps.length === 1 ? "a plot" : `${overlaps.length} plots`}: see below.`;
  return `Measured by the server.${doubts.length ? " Is it in the right place? See below." : ""}`;
}

export class Figures {
  // `measured(answer)` hears what the server said, null while it has not.
  constructor(page, { address, plot, measured }) {
    Object.assign(this, { _page: page, _address: address, _plot: plot, _measured: measured });
    this.said = null;
    this._question = new Latest();
  }

  // A corner is on its way.
  rough(geometry) {
    this._question.drop();
    this._show(geometry && roughFigures(geometry), true);
    this._say(geometry ? "Rough while it moves." : "");
    this._tell(null);
  }

  // The drawing rests: ask the server. `isWhole` is false while a ring is being drawn.
  measure(geometry, isWhole) {
    this.rough(geometry);
    this._page.acresWords.textContent = isWhole ? "inside it" : "inside it so far";
    if (!geometry) return;
    this._say("Measuring …");
    this._ask(geometry);
  }

  async _ask(geometry) {
    const answer = await this._question.ask("POST", this._address, { body: { geometry, plot: this._plot }, pause_ms: PAUSE_MS });
    if (!answer) return;
    const { status, body } = answer;
    if (status === 200) this._hear(body);
    else this._say(status === 0 ? "The server could not be reached, so this is rough." : body?.error?.message ?? "The server could not measure it, so this is rough.");
  }

  _hear(answer) {
    this._show(answer, false);
    this._say(statedOf(answer));
    this._tell(answer);
  }

  _tell(answer) {
    this.said = answer;
    this._measured(answer);
  }

  _show(figures, isRough) {
    const { acres, around } = this._page;
    const about = isRough ? "about " : "";
    acres.textContent = figures && figures.acres !== null ? about + acresText(figures.acres) : "–";
    around.textContent = figures && figures.perimeter_ft !== null ? about + feetText(figures.perimeter_ft) : "–";
    for (const each of [acres, around]) each.classList.toggle("is-rough", isRough);
  }

  _say(sentence) {
    this._page.said.textContent = sentence;
  }
}
