// That work was done: minutes, pictures and a note, kept on the phone from the first tap.

import { Draft } from "../offline/draft.js";
import { newId } from "../offline/ids.js";
import { notSaved } from "../offline/room.js";
import { banner, part, screen, show, sureButton } from "../offline/screens.js";
import { discard, recordOf } from "../offline/store.js";
import { stopwatch } from "./keypad.js";
import { Pictures } from "./pictures.js";
import { placeOf } from "./where.js";

const MOST_MINUTES = 10_000;
const MINUTE_MS = 60_000;

export function reportScreen(ctx) {
  const at = screen("work-report");
  const draft = new Draft((error) => banner("work-kept", "stop", error && notSaved(error)));
  let fresh = null; // begun, and nothing said yet: not kept
  const factsOf = () => ({ taken_at: new Date().toISOString(), place: placeOf(ctx.position()) });
  const pictures = new Pictures({ draft, at, inputs: ["camera"], wrong: "photo-wrong", factsOf });
  part("discard", at).append(sureButton("Throw away", "Throw this report away for good?", throwAway));

  function begin(item, isFinished) {
    fresh = {
      id: newId(),
      kind: "work",
      slug: ctx.slug,
      user: ctx.user() ?? null,
      state: "open",
      startedAt: new Date().toISOString(),
      title: item.title,
      item: { id: item.id, title: item.title },
      doneAt: null,
      minutes: null,
      timing: null,
      isFinished,
      note: "",
      place: null,
      photos: [],
      refused: null,
    };
    ctx.go(`work-report-${fresh.id}`);
  }

  async function open(id) {
    if (!(await take(id))) {
      ctx.go("work");
      return;
    }
    const { item, refused, note } = draft.record;
    part("title", at).textContent = item.title;
    part("to-item", at).href = `#work-${item.id}`;
    part("wrong", at).textContent = refused ? `Not taken: ${refused.sentence}` : "";
    part("note", at).value = note;
    part("note-part", at).open = Boolean(note);
    part("watch", at).replaceChildren(stopwatch({ memo: draft.record.timing, remember: (timing) => draft.change({ timing }) }, addMinutes));
    paint();
    await pictures.open();
    show("work-report");
  }

  async function take(id) {
    if (draft.record?.id === id) return true;
    const stored = fresh?.id === id ? null : await recordOf(id);
    const record = fresh?.id === id ? fresh : stored?.state === "ready" ? await ctx.outbox.takeBack(id) : stored;
    const isOpen = record?.kind === "work" && record.state === "open";
    banner("work-taken", "warn", stored?.state === "ready" && !record ? "This report may be with the server already, without its answer. It is sent again when there is signal." : null);
    if (!isOpen) return false;
    const isHere = await draft.take(record);
    banner("work-elsewhere", "warn", isHere ? null : "This report is open in another tab of this phone; go on there.");
    return isHere;
  }

  function paint() {
    const { minutes, isFinished } = draft.record;
    part("minutes", at).textContent = minutes === null ? "–" : `${minutes} min`;
    for (const button of at.querySelectorAll("[data-finished]")) button.setAttribute("aria-pressed", String(isFinished === (button.dataset.finished === "1")));
    for (const button of at.querySelectorAll("[data-set]")) button.setAttribute("aria-pressed", String(Number(button.dataset.set) === minutes));
  }

  function change(changes) {
    draft.change(changes);
    paint();
  }

  // What comes to nothing is not known, rather than none.
  function addMinutes(more) {
    const sum = Math.round(((draft.record.minutes ?? 0) + more) * 10) / 10;
    change({ minutes: sum > 0 ? Math.min(MOST_MINUTES, sum) : null });
  }

  async function save() {
    const { timing, item, photos, place, doneAt } = draft.record;
    if (timing) addMinutes((Date.now() - Date.parse(timing)) / MINUTE_MS);
    const kept = { timing: null, doneAt: doneAt ?? new Date().toISOString(), place: place ?? placeOf(ctx.position()), photos: photos.map((photo) => ({ ...photo, refused: null })) };
    if (!(await draft.finish(kept))) return;
    fresh = null;
    location.replace(`#work-${item.id}`); // Back does not open what is on its way
    ctx.outbox.send();
  }

  async function throwAway() {
    const { id, item } = draft.record;
    await draft.letGo();
    await discard(id);
    fresh = null;
    ctx.go(`work-${item.id}`);
  }

  for (const button of at.querySelectorAll("[data-finished]")) button.addEventListener("click", () => change({ isFinished: button.dataset.finished === "1" }));
  for (const button of at.querySelectorAll("[data-more]")) button.addEventListener("click", () => addMinutes(Number(button.dataset.more)));
  for (const button of at.querySelectorAll("[data-set]")) button.addEventListener("click", () => change({ minutes: Number(button.dataset.set) }));
  part("note", at).addEventListener("input", ({ target }) => draft.change({ note: target.value }));
  part("save", at).addEventListener("click", save);

  return { begin, open };
}
