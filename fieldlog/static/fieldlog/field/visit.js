// The screens of a visit: what is asked, a note, everything once more, and what the server did not take.

import { banner, element, part, screen, show, sureButton } from "../offline/screens.js";
import { discard, recordOf } from "../offline/store.js";
import { moment } from "../offline/words.js";
import { alwaysOf, answersOf, newReading, protocolsOf, readingsOf, stateOf, stepsOf } from "./asked.js";
import { restrictionsOf, seenToday } from "./home.js";
import { isAnswered } from "./kind.js";
import { Photos } from "./photos.js";
import { StepScreen } from "./asking.js";

export class Visits {
  // `at` is what the page gives: { facts(), draft, outbox, where, go(hash), replace(hash), slug }.
  constructor(at) {
    Object.assign(this, { _at: at, _photos: new Photos(at, this), _step: new StepScreen(at, this) });
    part("note", screen("note")).addEventListener("input", ({ target }) => at.draft.change({ note: target.value }));
    part("done", screen("note")).addEventListener("click", () => at.go(this.hash));
    part("save", screen("end")).addEventListener("click", () => this._save());
    part("discard", screen("end")).append(sureButton("Throw away", "Throw this visit away for good?", () => this._discard()));
  }

  get record() {
    return this._at.draft.record;
  }

  get hash() {
    return `visit-${this.record.id}`;
  }

  moved() {
    this._step.moved();
  }

  // Pictures of a reading, and back to the question after them.
  takePhotoOf(id) {
    this._photos.backTo = location.hash.slice(1);
    this._at.go(`${this.hash}/photos/${id}`);
  }

  // The kind of a reading as this phone knows it; null where it never heard of it.
  kindOf(reading) {
    return this._at.facts()?.kinds[reading.kind] ?? null;
  }

  // Changes one reading; what is new about it comes as an object.
  changeReading(id, changes) {
    this._at.draft.change({ readings: this.record.readings.map((each) => (each.id === id ? { ...each, ...changes } : each)) });
  }

  // Whether the visit can be worked on here. `rest` is what stands behind its id in the address.
  async open(id, rest) {
    if (!(await this._take(id))) return false;
    const [what, which, step] = rest.split("/");
    if (what === "reading" && this.record.readings.some((each) => each.id === which)) this._step.open(which, step);
    else if (what === "photos") await this._photos.open(which ?? null);
    else if (what === "note") this._openNote();
    else if (what === "end") this._openEnd();
    else this._openList();
    return true;
  }

  async _take(id) {
    const { draft, outbox, facts } = this._at;
    if (draft.record?.id === id) return true;
    const stored = await recordOf(id);
    const record = stored?.state === "ready" ? await outbox.takeBack(id) : stored;
    const isMine = record && (!record.user || !facts() || record.user.id === facts().user.id);
    banner("taken", "warn", stored?.state === "ready" && !record ? "This visit may be with the server already, without its answer. It is sent again when there is signal; then it can be put right on its page there." : null);
    if (!record || record.kind !== "visit" || record.state !== "open" || !isMine) return false;
    const isHere = await draft.take(record);
    banner("elsewhere", "warn", isHere ? null : "This visit is open in another tab of this phone; go on there.");
    return isHere;
  }

  async saved(id) {
    const record = await recordOf(id);
    part("saved-title").textContent = record?.plot?.name ?? "it";
    show("saved");
    return true;
  }

  _openList() {
    const { facts } = this._at;
    const at = screen("visit");
    const { plot, startedAt, refused } = this.record;
    const protocols = protocolsOf(facts(), plot.id);
    const always = alwaysOf(facts(), plot.id);
    part("title", at).textContent = plot.name;
    const begun = new Date(startedAt).toDateString() === new Date().toDateString() ? "" : "It goes on; every reading keeps the time at which it was taken. ";
    part("told", at).textContent = `Begun ${moment(startedAt)}. ${begun}${facts() ? seenToday(facts(), plot.id).join(" ") : ""}`;
    part("stops", at).replaceChildren(...(facts() ? restrictionsOf(facts(), plot.id) : []).map(({ sentence }) => element("p", { className: "note stop", textContent: sentence })));
    part("refused", at).replaceChildren(...this._refusals());
    part("asked", at).replaceChildren(...protocols.flatMap((each) => this._rowsOf(each)));
    part("always", at).replaceChildren(...[...always.flatMap((each) => this._rowsOf(each)), ...this._orphans(protocols, always)]);
    part("note-link", at).hidden = Boolean(this.record.answer);
    part("note-link", at).href = `#${this.hash}/note`;
    part("note-link", at).textContent = this.record.note ? "Note: written" : "Note";
    part("photos-link", at).href = `#${this.hash}/photos`;
    part("photos-link", at).textContent = this.record.photos.length ? `Pictures: ${this.record.photos.length}` : "Pictures";
    this._sayNext(at, protocols);
    show("visit");
  }

  _sayNext(at, protocols) {
    const left = protocols.find((each) => !readingsOf(this.record, each).some((reading) => stateOf(reading)[0] !== "" && stateOf(reading)[0] !== "begun"));
    const next = part("next", at);
    part("end", at).href = `#${this.hash}/end`;
    part("end", at).hidden = !left;
    next.textContent = left ? `${readingsOf(this.record, left).length ? "Go on" : "Next"}: ${left.name}` : "Look it over and save";
    next.onclick = () => (left ? this._begin(left) : this._at.go(`${this.hash}/end`));
  }

  _refusals() {
    const { refused, photos } = this.record;
    if (!refused) return [];
    const pictures = photos.filter((each) => each.refused).map((each) => `A picture was not taken: ${each.refused.sentence}`);
    const sentences = [`Not taken: ${refused.sentence}`, ...this.record.readings.filter((each) => each.refused).map((each) => `${this.kindOf(each)?.title ?? each.kind}: ${each.refused.sentence}`), ...pictures];
    return [element("div", { className: "note stop" }, ...[...new Set(sentences)].map((textContent) => element("p", { textContent })), element("p", { textContent: "Change it below, look it over and save it again." }))];
  }

  // A line for each reading of a protocol, and one to begin it, or another where there may be several.
  _rowsOf(protocol) {
    const kind = this._at.facts().kinds[protocol.kind];
    const readings = readingsOf(this.record, protocol);
    const rows = readings.map((reading) => this._row(protocol.name, reading, () => this._openReading(reading)));
    const isMore = !readings.length || (kind.is_many && readings.every(isAnswered));
    if (!isMore) return rows;
    const name = readings.length ? `${protocol.name}: add another` : protocol.name;
    return [...rows, this._row(name, null, () => this._begin(protocol, true), protocol.isDue ? ["due", "warn"] : ["", ""], readings.length ? "" : kind.summary)];
  }

  // Readings whose protocol is not asked for any more stay where they can be seen.
  _orphans(protocols, always) {
    const known = new Set([...protocols, ...always].flatMap((each) => readingsOf(this.record, each).map(({ id }) => id)));
    return this.record.readings.filter((each) => !known.has(each.id) && isAnswered(each)).map((each) => this._row(this.kindOf(each)?.title ?? each.kind, each, () => this._openReading(each)));
  }

  _row(name, reading, act, state = stateOf(reading), told = null) {
    const kind = reading && this.kindOf(reading);
    const answers = kind ? answersOf(kind, reading).slice(0, 3).map(([label, text]) => `${label}${label.endsWith("?") ? "" : ":"} ${text}`).join(" · ") : "";
    const [words, mood] = state;
    const button = element("button", { type: "button", className: "field-link" },
      element("strong", { textContent: name }),
      words ? element("span", { className: `tag ${mood}`, textContent: words }) : element("span", {}),
      told || answers ? element("span", { className: "muted", textContent: told || answers }) : null,
    );
    button.disabled = reading?.state === "sent"; // what the server has is put right on its page there
    button.addEventListener("click", act);
    return element("li", {}, button);
  }

  // Opens the reading that was begun, or a new one.
  _begin(protocol, isNew = false) {
    const before = readingsOf(this.record, protocol).find((each) => !isAnswered(each) || (!isNew && each.state === "begun"));
    const reading = before ?? newReading(protocol);
    if (!before) this._at.draft.change({ readings: [...this.record.readings, reading] });
    this._openReading(reading);
  }

  // At the first question without an answer, or the first of all.
  _openReading(reading) {
    const kind = this.kindOf(reading);
    const steps = kind ? stepsOf(kind, reading) : [];
    const first = reading.refused ? steps.find(({ name }) => name in (reading.refused.fields ?? {})) : steps.find(({ name }) => reading.values[name] === undefined);
    const to = (stateOf(reading)[0] === "done" ? null : first) ?? steps[0];
    if (to) this._at.go(`${this.hash}/reading/${reading.id}/${to.name}`);
  }

  removeReading(id) {
    this._at.draft.change({ readings: this.record.readings.filter((each) => each.id !== id) });
  }

  _openNote() {
    const at = screen("note");
    part("title", at).textContent = this.record.plot.name;
    part("note", at).value = this.record.note;
    show("note");
  }

  _openEnd() {
    const at = screen("end");
    const { readings, photos, note, place, plot, startedAt } = this.record;
    part("told", at).textContent = `${plot.name}, ${moment(startedAt)}. ${place ? "Its place is known." : "No position was taken."}`;
    const told = readings.filter(isAnswered).map((each) => this._summaryOf(each));
    if (note) told.push(element("section", {}, element("h2", { textContent: "Note" }), element("p", { className: "field-said", textContent: note })));
    if (photos.length) told.push(element("section", {}, element("h2", { textContent: `Pictures: ${photos.length}` })));
    part("summary", at).replaceChildren(...(told.length ? told : [element("p", { className: "lead", textContent: "Nothing was noted. Saved like this it says that somebody was here." })]));
    part("back", at).href = `#${this.hash}`;
    show("end");
  }

  _summaryOf(reading) {
    const kind = this.kindOf(reading);
    const rows = kind ? answersOf(kind, reading).map(([label, text]) => element("div", {}, element("dt", { textContent: label }), element("dd", { textContent: text }))) : [];
    return element("section", {}, element("h2", { textContent: kind?.title ?? reading.kind }), element("dl", { className: "field-rows-told" }, ...rows));
  }

  async _save() {
    const { id } = this.record;
    const readings = this.record.readings.filter(isAnswered).map((each) => ({ ...each, ...(each.state === "refused" ? { state: "done" } : {}), refused: null, taken_at: each.taken_at ?? this.record.visitedAt }));
    const photos = this.record.photos.map((each) => ({ ...each, ...(each.state === "refused" ? { state: "named" } : {}), refused: null }));
    if (!(await this._at.draft.finish({ readings, photos }))) return;
    this._at.replace(`#saved-${id}`); // Back does not open what is on its way
    this._at.outbox.send();
  }

  async _discard() {
    const { id, plot } = this.record;
    await this._at.draft.letGo();
    await discard(id);
    this._at.replace(`#plot-${plot.id}`);
  }
}
