// On every page: what waits on this device to be sent, and a word before somebody signs out over it.

import { NAMES, named } from "./names.js";
import { report } from "./phone.js";
import { allRecords, discard, forgetGround, picturesLeft, unsent } from "./store.js";
import { age, counted } from "./words.js";

show();

// At the head of the page, and silent where nothing waits.
async function show() {
  const waiting = await unsent().catch(() => []);
  if (!waiting.length) return;
  const link = document.createElement("a");
  link.href = NAMES[waiting[0].kind]?.page(waiting[0]) ?? "/";
  link.textContent = "Look and send";
  const note = document.createElement("p");
  note.className = "message warning no-print";
  note.append(`${await told(waiting)} on this device not sent yet, the oldest begun ${age(waiting[0].startedAt)}. `, link);
  document.querySelector(".messages")?.append(note);
}

// '3 visits with 12 pictures'. Of a visit that the server has, pictures may be left.
async function told(waiting) {
  const left = (await picturesLeft().catch(() => [])).length;
  return left ? `${named(waiting)} with ${counted(left, "picture", "pictures")}` : named(waiting);
}

// What is known of properties and what was sent goes with the person who signs out; what they have not sent stays, and
// is theirs.
addEventListener("submit", async (event) => {
  const form = event.target;
  const isLeaving = new URL(form.action).pathname === "/sign-out/";
  if (!isLeaving || form.dataset.leaving === "now") return;
  event.preventDefault();
  const waiting = await unsent().catch(() => []);
  if (waiting.length && form.dataset.leaving !== "warned") {
    form.dataset.leaving = "warned";
    warn(form, await told(waiting));
    return;
  }
  await report({ always: true }).catch(() => null); // so that somebody knows what waits here
  await forgetGround().catch(() => null);
  await forgetSent().catch(() => null);
  form.dataset.leaving = "now";
  form.requestSubmit();
}, true);

// Who is out alone can still say here that they are back.
async function forgetSent() {
  const isOut = ({ kind, endedAt }) => kind === "checkin" && !endedAt;
  const sent = (await allRecords()).filter((record) => record.state === "sent" && !isOut(record));
  await Promise.all(sent.map(({ id }) => discard(id)));
}

function warn(form, what) {
  const note = document.createElement("p");
  note.className = "note warn";
  note.setAttribute("role", "alert");
  note.textContent = `${what} on this device not sent yet. Signing out loses nothing, but only the person who recorded it can send it, from this device.`;
  form.querySelector("button").textContent = "Sign out all the same";
  form.parentElement.after(note);
}
