// One request of the outbox, and what its answer means.

import { ask, csrfToken } from "../../site/asking.js";
import { NAMES } from "./names.js";
import { phoneId } from "./phone.js";

export const SIGNED_OUT = "signed-out";
export const NO_SIGNAL = "no-signal";
export const FAILING = "failing";
export const PHONE_ENDED = "phone-ended";

const PATIENCE_MS = 60_000;
const SLOWEST_BYTES_A_MS = 4; // 4 kB a second still brings a picture through

const isForged = ({ status, body }) => status === 403 && /^CSRF/.test(body?.error?.message ?? "");

// A page that was opened without signal has set no token against forged requests; any other sets one.
async function freshToken(record) {
  const page = NAMES[record.kind]?.page(record) ?? "/";
  await fetch(page, { redirect: "error", signal: AbortSignal.timeout(PATIENCE_MS) }).catch(() => null);
}

async function withToken(record, request) {
  if (!csrfToken()) await freshToken(record);
  const answer = await request();
  if (!isForged(answer)) return answer;
  await freshToken(record);
  return request();
}

// { status, body }; status 0 where no answer came.
export function sendFacts(method, address, body, record) {
  const whole = { phone_id: phoneId(), ...body, sent_at: new Date().toISOString() };
  return withToken(record, () => ask(method, address, { body: whole, signal: AbortSignal.timeout(PATIENCE_MS) }).catch(() => ({ status: 0 })));
}

export function sendPicture({ slug, sha256, type, size }, bytes, record) {
  const query = new URLSearchParams({ phone_id: phoneId() });
  const address = `/api/v1/properties/${encodeURIComponent(slug)}/photos/${sha256}/?${query}`;
  const signal = AbortSignal.timeout(PATIENCE_MS + size / SLOWEST_BYTES_A_MS);
  return withToken(record, () => put(address, type, bytes, signal));
}

async function put(address, type, bytes, signal) {
  const headers = { Accept: "application/json", "Content-Type": type, "X-CSRFToken": csrfToken() };
  try {
    const answer = await fetch(address, { method: "PUT", headers, body: bytes, redirect: "error", signal });
    return { status: answer.status, body: await answer.json().catch(() => null) };
  } catch {
    return { status: 0, body: null };
  }
}

// Why nothing more can be sent, or null where the answer is about this record alone.
export function stoppedBy({ status, body }) {
  if (status === 401 || (status === 403 && !csrfToken())) return SIGNED_OUT; // a session that is gone may take its token along
  if (status === 403 && body?.error?.code === "phone_ended") return PHONE_ENDED;
  if (status === 0) return NO_SIGNAL;
  if (status >= 500 || status < 400 || status === 408 || status === 429) return FAILING;
  return null;
}

// Why this record was not taken: { code, sentence, fields }.
export function refusalIn({ status, body }) {
  const { code = "", message = `The server answered ${status}.`, fields = {} } = body?.error ?? {};
  return { code, sentence: message, fields };
}
