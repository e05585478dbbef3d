// What waits on this device, what became of what was sent, and the ways to get it off the device.

import { handOver } from "./files.js";
import { KINDS } from "./kinds.js";
import { named } from "./names.js";
import { FAILING, NO_SIGNAL, SIGNED_OUT } from "./outbox.js";
import { element, sureButton } from "./screens.js";
import { allRecords, discard, entries } from "./store.js";
import { age } from "./words.js";

const DAY_MS = 24 * 3600 * 1000;

// Fills every [data-queue]. `user` is who is signed in as far as is known.
export async function showQueue({ stopped, outbox, user }) {
  const records = (await allRecords()).filter(({ kind, state }) => kind in KINDS && state !== "open");
  const ready = records.filter(({ state }) => state === "ready");
  const sent = await recent(records.filter(({ state }) => state === "sent"));
  for (const place of document.querySelectorAll("[data-queue]")) {
    place.hidden = !ready.length && !sent.length;
    place.replaceChildren(...(ready.length ? waiting(ready, stopped, outbox, user) : []), ...(sent.length ? gone(sent) : []));
  }
}

function waiting(ready, stopped, outbox, user) {
  const button = element("button", { type: "button", textContent: "Send now" });
  button.addEventListener("click", () => {
    button.disabled = true;
    button.textContent = "Sending …";
    outbox.send();
  });
  return [
    element("h2", { textContent: `${named(ready)} ${ready.length === 1 ? "waits" : "wait"} to be sent` }),
    element("p", {}, ...why(stopped)),
    element("ul", { className: "hand-list" }, ...ready.map((record) => waitingRow(record, outbox, user))),
    element("div", { className: "acts" }, button, ...fileButtons(ready)),
  ];
}

function waitingRow(record, outbox, user) {
  const kind = KINDS[record.kind];
  const isAnothers = record.user && user && record.user.id !== user.id;
  const isRefused = record.refused && !isAnothers;
  return element(
    "li",
    {},
    element("strong", { textContent: kind.title(record) }),
    ` ${kind.told(record)}`,
    isAnothers ? element("p", { className: "error-text", textContent: `${kind.by} by ${record.user.name}, who alone can send it: sign in as ${record.user.name}.` }) : null,
    isRefused ? element("p", { className: "error-text", textContent: record.refused.sentence }) : null,
    isRefused && kind.mend ? element("a", { className: "button", href: kind.mend(record), textContent: "Put it right" }) : null,
    record.refused ? sureButton("Throw away", "Throw away for good?", () => discard(record.id).then(() => outbox.send())) : null,
  );
}

function why(stopped) {
  if (stopped === NO_SIGNAL) return ["There is no signal. Nothing is lost: it goes by itself when there is."];
  if (stopped === FAILING) return ["The server takes nothing just now. Nothing is lost; send it later."];
  if (stopped !== SIGNED_OUT) return ["Nothing is lost while it waits on this phone."];
  const link = element("a", { href: `/sign-in/?next=${encodeURIComponent(location.pathname)}`, textContent: "Sign in" });
  return [link, ", and it is sent. Nothing is lost."];
}

function fileButtons(ready) {
  const others = Object.entries(KINDS).flatMap(([name, { files = [] }]) => files.map((file) => ({ ...file, of: ready.filter(({ kind }) => kind === name) })));
  return [{ text: "Save as JSON", type: "application/json", ending: "json", write: asJson, of: ready }, ...others].filter((file) => file.of.length).map(fileButton);
}

function fileButton({ text, type, ending, write, of }) {
  const button = element("button", { type: "button", className: "quiet", textContent: text });
  button.addEventListener("click", async () => {
    const whole = await Promise.all(of.map(async (record) => ({ record, entries: await entries(record.id) })));
    handOver(`not-sent-${new Date().toISOString().slice(0, 10)}.${ending}`, type, write(whole));
  });
  return button;
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
    element("ul", { className: "hand-list" }, ...rows),
    ...[...afterwards].map((textContent) => element("p", { className: "help", textContent })),
  ];
}

// What was sent is shown for a day and then forgotten here.
async function recent(sent) {
  const isOld = ({ sentAt }) => Date.now() - Date.parse(sentAt) > DAY_MS;
  await Promise.all(sent.filter(isOld).map(({ id }) => discard(id)));
  return sent.filter((record) => !isOld(record));
}
