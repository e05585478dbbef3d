// The plots of the day's run, or of the whole season.

import { element, part, screen } from "../offline/screens.js";
import { recall, remember } from "../../site/memory.js";
import { counted } from "../offline/words.js";
import { doneOf } from "./fills.js";

const FIND_FROM = 9;
const MOST_SHOWN = 60;

// The run that the address names, or else the one that this device heard of last; empty for the whole season.
function runOf(place) {
  const key = `swardbook run ${place}`;
  const asked = new URLSearchParams(location.search).getAll("plot").map(Number).filter(Number.isInteger);
  if (asked.length) remember(key, asked);
  return asked.length ? asked : (recall(key) ?? []);
}

export class List {
  constructor(place) {
    Object.assign(this, { _place: place, _run: runOf(place), _isWhole: false });
    const at = screen("list");
    part("find", at).addEventListener("input", () => this._paint());
    part("whole", at).addEventListener("click", () => {
      this._isWhole = !this._isWhole;
      this._paint();
    });
  }

  // `records` are those of this device, by the plot's id.
  show(facts, records) {
    Object.assign(this, { _facts: facts, _records: records });
    this._paint();
  }

  _paint() {
    const at = screen("list");
    const sheets = this._facts.sheets;
    const run = this._run.map((id) => sheets.find(({ plot }) => plot.id === id)).filter(Boolean);
    const isRun = run.length > 0 && !this._isWhole;
    const plots = isRun ? run : sheets;
    const words = part("find", at).value.trim().toLowerCase();
    const fit = plots.filter(({ plot, blend }) => `${plot.name} ${blend}`.toLowerCase().includes(words));
    part("told", at).textContent = isRun ? `The run of the day: ${counted(run.length, "plot", "plots")}.` : `${counted(sheets.length, "plot is", "plots are")} sown this season.`;
    part("whole", at).hidden = !run.length;
    part("whole", at).textContent = this._isWhole ? "Only the run of the day" : "All plots of the season";
    part("find-field", at).hidden = plots.length < FIND_FROM;
    part("plots", at).replaceChildren(...fit.slice(0, MOST_SHOWN).map((sheet) => this._row(sheet)));
    part("more", at).textContent = [
      fit.length > MOST_SHOWN ? `${fit.length - MOST_SHOWN} more; type part of the name to find one.` : "",
      this._facts.left_out ? `${this._facts.left_out} plots more are sown this season; their sheets are on the planting page.` : "",
    ].join(" ");
    part("empty", at).hidden = sheets.length > 0;
  }

  _row(sheet) {
    const [words, mood] = this._state(sheet);
    return element(
      "li",
      {},
      element(
        "a",
        { className: "sheet-link", href: `#sheet-${sheet.plot.id}` },
        element("strong", { textContent: sheet.plot.name }),
        element("span", { className: "fig", textContent: sheet.acres }),
        element("span", { className: "muted", textContent: sheet.blend }),
        words ? element("span", { className: `tag ${mood}`, textContent: words }) : null,
      ),
    );
  }

  _state(sheet) {
    const records = this._records.get(sheet.plot.id) ?? [];
    if (records.some(({ state }) => state === "open")) return ["begun", "warn"];
    if (records.some(({ state, refused }) => state === "ready" && refused)) return ["refused", "stop"];
    if (records.some(({ state }) => state === "ready")) return ["waits to be sent", "warn"];
    if (sheet.planted || records.length) return ["planted", "good"];
    const { done, of } = doneOf(this._place, sheet);
    return done ? [`${done} of ${of} fills`, ""] : ["", ""];
  }
}
