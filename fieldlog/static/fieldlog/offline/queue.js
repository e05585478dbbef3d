// What waits on this device, what became of what was sent, and the ways to get it off the device.

import { handOver } from "./files.js";
import { KINDS } from "./kinds.js";
import { named } from "./names.js";
import { FAILING, NO_SIGNAL, PHONE_ENDED, SIGNED_OUT } from "./outbox.js";
import { refusedParts } from "./parts.js";
import { roomWarning } from "./room.js";
import { element, sureButton } from "./screens.js";
import { allRecords, discard, entries, photosOf, picturesLeft } from "./store.js";
import { age, counted } from "./words.js";
import { zip } from "./zip.js";

const DAY_MS = 24 * 3600 * 1000;
const MOST_ROWS = 30;

let running = null;
let next = null;
let mostPictures = 0;

// Fills every [data-queue]. `user` is who is signed in as far as is known. Asked again while it looks, it looks once more.
export function showQueue(what) {
  next = what;
  running ??= (async () => {
    while (next) {
      const now = next;
      next = null;
      await fill(now);
    }
  })().finally(() => (running = null));
  return running;
}

async function fill({ stopped, outbox, user }) {
  const records = (await allRecords()).filter(({ kind, state }) => kind in KINDS && state !== "open");
  const ready = records.filter(({ state }) => state === "ready").sort(byNeed);
  const sent = await recent(records.filter(({ state }) => state === "sent"));
  const left = await picturesLeft();
  const room = ready.length ? await roomWarning() : null;
  for (const place of document.querySelectorAll("[data-queue]")) {
    const isAtButton = place.contains(document.activeElement) && document.activeElement.matches("[data-send]");
    place.hidden = !ready.length && !sent.length;
    place.replaceChildren(...(ready.length ? waiting({ ready, left, room, stopped, outbox, user }) : []), ...(sent.length ? gone(sent) : []));
    if (isAtButton) place.querySelector("[data-send]")?.focus({ preventScroll: true });
  }
}

// What was refused first, then the oldest.
const byNeed = (a, b) => Boolean(b.refused) - Boolean(a.refused) || (a.startedAt < b.startedAt ? -1 : 1);

function waiting({ ready, left, room, stopped, outbox, user }) {
  const here = new Set(ready.map(({ id }) => id));
  const pictures = left.filter(({ record }) => here.has(record));
  const oldest = ready.reduce((a, b) => (a.startedAt < b.startedAt ? a : b));
  const button = element("button", { type: "button", textContent: "Send now" });
  button.dataset.send = "";
  button.addEventListener("click", () => {
    button.setAttribute("aria-disabled", "true");
    button.textContent = "Sending …";
    outbox.send();
  });
  return [
    element("h2", { textContent: `${headOf(ready, pictures)} ${ready.length + pictures.length === 1 ? "waits" : "wait"} to be sent` }),
    element("p", {}, ...why(stopped), ready.length > 1 ? ` The oldest was begun ${age(oldest.startedAt)}.` : ""),
    room ? element("p", { className: "note warn", textContent: room }) : "",
    ...progressOf(ready, pictures),
    element("ul", { className: "hand-list" }, ...ready.slice(0, MOST_ROWS).map((record) => waitingRow(record, pictures, outbox, user))),
    ready.length > MOST_ROWS ? element("p", { textContent: `And ${counted(ready.length - MOST_ROWS, "other", "others")}.` }) : "",
    element("div", { className: "acts" }, button, ...fileButtons(ready, pictures)),
  ];
}

const headOf = (ready, pictures) => (pictures.length ? `${named(ready)} with ${counted(pictures.length, "picture", "pictures")}` : named(ready));

// How many pictures have gone of the most that waited since none did.
function progressOf(ready, pictures) {
  mostPictures = pictures.length ? Math.max(mostPictures, pictures.length) : 0;
  if (!pictures.length || !ready.some(({ heardAt }) => heardAt)) return [];
  const gone = mostPictures - pictures.length;
  const bar = element("progress", { max: mostPictures, value: gone });
  return [element("label", { className: "hand-progress" }, `${gone} of ${counted(mostPictures, "picture", "pictures")} sent `, bar)];
}

function waitingRow(record, pictures, outbox, user) {
  const kind = KINDS[record.kind];
  const isAnothers = record.user && user && record.user.id !== user.id;
  const isRefused = record.refused && !isAnothers;
  const left = pictures.filter((picture) => picture.record === record.id).length;
  return element(
    "li",
    {},
    element("strong", { textContent: kind.title(record) }),
    record.heardAt && !record.refused ? ` is with the server; ${counted(left, "picture", "pictures")} left to send` : ` ${kind.told(record)}`,
    isAnothers ? element("p", { className: "error-text", textContent: `${kind.by} by ${record.user.name}, who alone can send it: sign in as ${record.user.name}.` }) : null,
    isRefused ? element("p", { className: "error-text", textContent: record.refused.sentence }) : null,
    isRefused ? refusedList(record, outbox) : null,
    isRefused && kind.mend ? element("a", { className: "button", href: kind.mend(record), textContent: "Put it right" }) : null,
    record.refused && !record.heardAt ? sureButton("Throw away", "Throw away for good?", () => discard(record.id).then(() => outbox.send())) : null,
  );
}

const capital = (word) => word.charAt(0).toUpperCase() + word.slice(1).replaceAll("_", " ");

// The readings and pictures that the server did not take, each with why.
function refusedList(record, outbox) {
  const refused = refusedParts(record);
  if (!refused.length) return null;
  const titleOf = ({ name, part }) => KINDS[record.kind].partTitle?.(part, name) ?? (name === "photos" ? part.caption || "Picture" : capital(part.kind));
  const rows = refused.map((each) =>
    element(
      "li",
      {},
      element("strong", { textContent: titleOf(each) }),
      ` ${each.part.refused.sentence} `,
      sureButton("Throw it away", "Throw it away for good?", () => outbox.dropPart(record.id, each.part.id)),
    ),
  );
  return element("ul", { className: "hand-refused" }, ...rows);
}

function why(stopped) {
  if (stopped === NO_SIGNAL) return ["There is no signal. Nothing is lost: it goes by itself when there is."];
  if (stopped === FAILING) return ["The server takes nothing just now. Nothing is lost: it is tried again by itself."];
  if (stopped === PHONE_ENDED) return ["This phone’s access was ended, so the server takes nothing from it. Nothing is lost: the owner or a manager can let it in again, or save what waits as a file."];
  if (stopped !== SIGNED_OUT) return ["Nothing is lost while it waits on this phone."];
  const link = element("a", { href: `/sign-in/?next=${encodeURIComponent(location.pathname)}`, textContent: "Sign in" });
  return [link, ", and it is sent. Nothing is lost."];
}

function fileButtons(ready, pictures) {
  const today = new Date().toISOString().slice(0, 10);
  const others = Object.entries(KINDS).flatMap(([name, { files = [] }]) => files.map((file) => ({ ...file, of: ready.filter(({ kind }) => kind === name) })));
  const texts = [{ text: "Save as JSON", type: "application/json", ending: "json", write: asJson, of: ready }, ...others]
    .filter((file) => file.of.length)
    .map(({ text, type, ending, write, of }) => saveButton(text, async () => handOver(`not-sent-${today}.${ending}`, type, write(await whole(of)))));
  return pictures.length ? [...texts, saveButton("Save with pictures", async () => handOver(`not-sent-${today}.zip`, "application/zip", await asZip(ready)))] : texts;
}

function saveButton(textContent, save) {
  const button = element("button", { type: "button", className: "quiet", textContent });
  button.addEventListener("click", save);
  return button;
}

const whole = (records) => Promise.all(records.map(async (record) => ({ record, entries: await entries(record.id) })));

// The JSON and each picture under its id, which the JSON has too.
async function asZip(records) {
  const files = [{ name: "not-sent.json", bytes: new TextEncoder().encode(asJson(await whole(records))) }];
  for (const { id: record } of records) {
    for (const { id, type, bytes } of await photosOf(record)) files.push({ name: `pictures/${id}.${type.split("/")[1]}`, bytes: new Uint8Array(bytes) });
  }
  return zip(files);
}

// Every record as the API takes it, with where.
function asJson(whole) {
  return JSON.stringify(
    whole.map(({ record, entries: grown }) => ({ id: record.id, put: KINDS[record.kind].address(record), ...KINDS[record.kind].body(record, grown) })),
    null,
    1,
  );
}

function gone(sent) {
  const rows = sent.map((record) => {
    const kind = KINDS[record.kind];
    return element("li", {}, element("a", { href: kind.page(record), textContent: kind.title(record) }), ` ${kind.cameTo(record)}, sent ${age(record.sentAt)}`);
  });
  const afterwards = new Set(sent.map(({ kind }) => KINDS[kind].after));
  return [
    element("h2", { textContent: `Sent: ${named(sent)}` }),
    element("ul", { className: "hand-list" }, ...rows.slice(0, MOST_ROWS)),
    ...[...afterwards].map((textContent) => element("p", { className: "help", textContent })),
  ];
}

// What was sent is shown for a day and then forgotten here.
async function recent(sent) {
  const isOld = ({ sentAt }) => Date.now() - Date.parse(sentAt) > DAY_MS;
  await Promise.all(sent.filter(isOld).map(({ id }) => discard(id)));
  return sent.filter((record) => !isOld(record));
}
