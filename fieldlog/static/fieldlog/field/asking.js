// One question of a reading on the screen: asked, checked, doubted, and on to the next.

import { element, part, screen, show } from "../offline/screens.js";
import { PIN, stepsOf } from "./asked.js";
import { complaint, doubtOf } from "./checks.js";
import { isAnswered } from "./kind.js";
import { PinAsk } from "./pin.js";
import { question } from "./steps.js";
import { placeOf } from "./where.js";

const isNothing = (value) => value === undefined || value === null;

export class StepScreen {
  constructor(at, visits) {
    Object.assign(this, { _at: at, _visits: visits, _screen: screen("step"), _pin: null });
    const press = (name, act) => part(name, this._screen).addEventListener("click", act);
    press("next", () => this._next());
    press("back", () => this._back());
    press("leave-out", () => this._leaveOut());
    press("sure", () => this._sure());
    press("change", () => this._sayDoubt(""));
    press("pin-it", () => this._pinIt());
    press("step-photo", () => visits.takePhotoOf(this._id));
  }

  get _reading() {
    return this._visits.record.readings.find(({ id }) => id === this._id);
  }

  get _steps() {
    return stepsOf(this._visits.kindOf(this._reading), this._reading);
  }

  moved() {
    this._pin?.moved();
  }

  open(id, name) {
    this._id = id;
    const kind = this._visits.kindOf(this._reading);
    if (!kind) return;
    const steps = this._steps;
    this._step = steps.find((each) => each.name === name) ?? steps[0];
    const at = this._screen;
    const { plot } = this._visits.record;
    part("of", at).textContent = `${plot.name} · ${kind.title} · ${steps.indexOf(this._step) + 1} of ${steps.length}`;
    part("title", at).textContent = this._step.label;
    part("help", at).textContent = this._step.help ?? "";
    part("help", at).hidden = !this._step.help;
    this._sayHow(kind);
    this._sayDoubt("");
    this._sayWrong(this._reading.refused?.fields?.[this._step.name]);
    part("ask", at).replaceChildren(this._step === PIN ? this._askPin(plot) : this._askStep(plot));
    part("pin-it", at).hidden = kind.pin !== "may" || this._reading.isPinned || this._step !== steps.at(-1);
    this._paint();
    show("step");
  }

  _sayHow(kind) {
    const at = this._screen;
    const protocol = this._at.facts().protocols.find(({ key }) => key === this._reading.protocol);
    const how = protocol?.instructions || kind.instructions;
    part("how", at).textContent = how ?? "";
    part("tools", at).textContent = kind.tools ? `Take along: ${kind.tools}.` : "";
    part("how-part", at).hidden = !how && !kind.tools;
  }

  _askStep(plot) {
    const facts = this._at.facts();
    const sown = (facts.planted?.[plot.id]?.sown ?? []).map(({ id, name }) => ({ id, name }));
    const isWeeds = this._reading.kind === "weeds"; // what was sown is the last thing that they are
    const { name } = this._step;
    return question(this._step, {
      value: this._reading.values[name] ?? null,
      set: (value) => this._set(name, value),
      memo: this._reading.memo?.[name] ?? null,
      remember: (memo) => this._visits.changeReading(this._id, { memo: { ...this._reading.memo, [name]: memo } }),
      sown: isWeeds ? [] : sown,
      others: isWeeds ? (facts.weeds ?? []) : [],
    });
  }

  _askPin(plot) {
    const outline = this._at.facts().plots.features.find(({ id }) => id === plot.id) ?? null;
    this._pin = new PinAsk({
      outline,
      where: this._at.where,
      place: this._reading.isPinned ? this._reading.place : null,
      set: (place) => {
        this._visits.changeReading(this._id, { place, isPinned: place !== null, taken_at: this._reading.taken_at ?? new Date().toISOString() });
        this._paint();
      },
    });
    return this._pin.element;
  }

  // The first answer says when and where the reading was taken.
  _set(name, value) {
    const reading = this._reading;
    const values = { ...reading.values };
    if (isNothing(value)) delete values[name];
    else values[name] = value;
    const isFirst = !reading.taken_at;
    this._visits.changeReading(this._id, {
      values,
      sure_of: reading.sure_of.filter((each) => each !== name),
      taken_at: reading.taken_at ?? new Date().toISOString(),
      ...(isFirst && !reading.place ? { place: placeOf(this._at.where.now) } : {}),
    });
    this._sayWrong("");
    this._sayDoubt("");
    this._paint();
  }

  get _value() {
    return this._step === PIN ? (this._reading.isPinned ? true : null) : (this._reading.values[this._step.name] ?? null);
  }

  _paint() {
    const isLast = this._steps.at(-1)?.name === this._step.name;
    part("next", this._screen).classList.toggle("is-skip", isNothing(this._value));
    part("next", this._screen).textContent = isNothing(this._value) ? "Skip" : isLast ? "Done" : "Next";
  }

  _sayWrong(sentence) {
    part("wrong", this._screen).textContent = Array.isArray(sentence) ? sentence.join(" ") : (sentence ?? "");
    part("leave-out", this._screen).hidden = !sentence;
  }

  _sayDoubt(sentence) {
    const at = this._screen;
    part("doubt", at).hidden = !sentence;
    part("doubt-said", at).textContent = sentence;
    part("ask", at).hidden = Boolean(sentence);
    part("next", at).parentElement.hidden = Boolean(sentence);
    if (sentence) part("sure", at).focus();
  }

  _next() {
    const { _step: step, _value: value } = this;
    const wrong = step === PIN ? "" : complaint(step, value);
    this._sayWrong(wrong);
    if (wrong) return;
    const doubt = step === PIN || this._reading.sure_of.includes(step.name) ? "" : doubtOf(step, value);
    if (doubt) this._sayDoubt(doubt);
    else this._goOn();
  }

  _sure() {
    this._visits.changeReading(this._id, { sure_of: [...new Set([...this._reading.sure_of, this._step.name])] });
    this._goOn();
  }

  _leaveOut() {
    this._set(this._step.name, null);
    this._goOn();
  }

  _goOn() {
    const steps = this._steps;
    const i = steps.findIndex(({ name }) => name === this._step.name);
    if (i + 1 < steps.length) {
      this._at.go(`${this._visits.hash}/reading/${this._id}/${steps[i + 1].name}`);
      return;
    }
    const alike = this._visits.record.readings.filter(({ kind, protocol }) => kind === this._reading.kind && protocol === this._reading.protocol);
    if (alike.length > 1 && !isAnswered(this._reading)) this._visits.removeReading(this._id);
    else this._visits.changeReading(this._id, { state: "done" });
    this._at.go(this._visits.hash);
  }

  _back() {
    const steps = this._steps;
    const i = steps.findIndex(({ name }) => name === this._step.name);
    this._at.go(i > 0 ? `${this._visits.hash}/reading/${this._id}/${steps[i - 1].name}` : this._visits.hash);
  }

  _pinIt() {
    this._visits.changeReading(this._id, { isPinned: true, place: placeOf(this._at.where.now) ?? this._reading.place });
    this._at.go(`${this._visits.hash}/reading/${this._id}/${PIN.name}`);
  }
}
