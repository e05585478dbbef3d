// What the server says of a property or a season; without signal, what it said last.

import { groundOf, keepGround } from "./store.js";

const PATIENCE_MS = 4_000;

// The facts with `knownAt`, or null where this device has never heard of them.
export async function known(name, address) {
  const before = (await groundOf(name)) ?? null;
  const answer = await fetch(address, { redirect: "error", signal: AbortSignal.timeout(PATIENCE_MS) }).catch(() => null);
  const said = answer?.ok ? await answer.json().catch(() => null) : null;
  if (!said) return before;
  const facts = { ...said, slug: name, knownAt: new Date().toISOString() };
  await keepGround(facts);
  return facts;
}
