// This browser as the property's people know it: its id, made once, and what waits on it.

import { recall, remember } from "../../site/memory.js";
import { ask } from "../../site/asking.js";
import { newId } from "./ids.js";
import { titleOf } from "./names.js";
import { unsent } from "./store.js";

const KEY = "swardbook phone";
const PATIENCE_MS = 10_000;
const MOST_TOLD = 500; // the oldest

let made; // where nothing is remembered it lasts as long as the page
let reported; // what was said last, so that it is said again only when it is another

// It stays when somebody signs out: a phone that two people use is one phone.
export function phoneId() {
  const known = recall(KEY) ?? made;
  if (known) return known;
  made = newId();
  remember(KEY, made);
  return made;
}

// What a person would call it: 'Android phone', 'iPhone', as far as the browser says.
function deviceName() {
  const { userAgent } = navigator;
  const found = /iPhone|iPad|Android|Windows|Macintosh|CrOS|Linux/.exec(userAgent)?.[0];
  const names = { Macintosh: "Mac or iPad", CrOS: "Chromebook", Linux: "Linux computer", Windows: "Windows computer" };
  if (found === "Android") return /Mobile/.test(userAgent) ? "Android phone" : "Android tablet";
  return names[found] ?? found ?? "Phone";
}

// Tells the server what waits here. Whether it heard is not important: it is told again. `always` tells it though nothing
// changed.
export async function report({ always = false } = {}) {
  const waiting = (await unsent()).slice(0, MOST_TOLD).map((record) => ({
    id: record.id,
    kind: record.kind,
    title: titleOf(record).slice(0, 120),
    slug: record.slug,
    started_at: record.startedAt,
    refused: record.refused?.sentence ?? "",
    recorded_by: record.user?.id ?? null,
  }));
  const text = JSON.stringify(waiting);
  if (text === reported && !always) return null;
  const body = { name: deviceName(), sent_at: new Date().toISOString(), waiting };
  const { status, body: answer } = await ask("PUT", `/api/v1/phones/${phoneId()}/`, { body, signal: AbortSignal.timeout(PATIENCE_MS) }).catch(() => ({ status: 0 }));
  if (status !== 200 && status !== 201) return null;
  reported = text;
  return answer;
}
