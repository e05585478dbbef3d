// That work was done: minutes, pictures and a note, kept on the phone from the first tap.

import { Draft } from "../offline/draft.js";
import { newId } from "../offline/ids.js";
import { banner, element, part, screen, show, sureButton } from "../offline/screens.js";
import { discard, dropPhoto, keepWithPhoto, photosOf, recordOf } from "../offline/store.js";
import { moment } from "../offline/words.js";
import { stopwatch } from "./keypad.js";
import { canHash, preview, reduced } from "./picture.js";
import { placeOf } from "./where.js";

const PREVIEW_PX = 480;
const MOST_MINUTES = 10_000;
const MINUTE_MS = 60_000;

export function reportScreen(ctx) {
  const at = screen("work-report");
  const draft = new Draft((error) => banner("work-kept", "stop", error && `NOT SAVED: this phone did not keep the last change (${error.message}). Make room on it, and go on.`));
  let fresh = null; // begun, and nothing said yet: not kept
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
    sayPicture(canHash() ? "" : "This page was not opened over https, so a picture cannot be told apart and sent.");
    part("camera", at).disabled = !canHash();
    paint();
    await paintPictures();
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

  const sayPicture = (sentence) => (part("photo-wrong", at).textContent = sentence);

  async function takePicture(input) {
    const [file] = input.files;
    input.value = "";
    if (!file) return;
    sayPicture("");
    part("busy", at).textContent = "Keeping the picture …";
    try {
      await keepPicture(file);
    } catch (error) {
      sayPicture(`${file.name} is not a picture that this browser can read (${error.message}); JPEG, PNG or WebP is accepted.`);
    }
    part("busy", at).textContent = "";
    await paintPictures();
  }

  async function keepPicture(file) {
    const { bytes, ...facts } = await reduced(file);
    if (draft.record.photos.some(({ sha256 }) => sha256 === facts.sha256)) {
      sayPicture("This picture is here already.");
      return;
    }
    const photo = { id: newId(), ...facts, size: bytes.byteLength, taken_at: new Date().toISOString(), place: placeOf(ctx.position()), bearing_deg: null, caption: "" };
    const isKept = await draft.keepWith(({ photos }) => ({ photos: [...photos, photo] }), (record) => keepWithPhoto(record, { ...photo, bytes }));
    if (!isKept) sayPicture("NOT SAVED: this phone did not keep the picture. Make room on it and take it again.");
  }

  async function paintPictures() {
    const bytes = new Map((await photosOf(draft.record.id)).map((each) => [each.id, each]));
    part("pictures", at).replaceChildren(...(await Promise.all(draft.record.photos.map((photo) => pictureRow(photo, bytes.get(photo.id))))));
  }

  async function pictureRow(photo, kept) {
    const shown = kept ? await preview(kept, PREVIEW_PX).catch(() => null) : null;
    shown?.setAttribute("aria-hidden", "true");
    const wrong = photo.refused ? element("p", { className: "error-text", textContent: photo.refused.sentence }) : null;
    const told = element("p", { className: "help", textContent: [moment(photo.taken_at), photo.place ? "place known" : "no place"].join(" · ") });
    return element("li", {}, shown, told, wrong, sureButton("Throw this picture away", "Throw it away for good?", () => dropPicture(photo.id)));
  }

  async function dropPicture(id) {
    await draft.keepWith(({ photos }) => ({ photos: photos.filter((photo) => photo.id !== id) }), (record) => dropPhoto(record.id, id, record));
    await paintPictures();
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
  part("camera", at).addEventListener("change", ({ target }) => takePicture(target));
  part("save", at).addEventListener("click", save);

  return { begin, open };
}
