// How full this device is for the site, and what to say when it keeps no more.

const NEARLY_FULL = 0.8;

// { used, most, share } of what the browser lets the site keep, in bytes; null where it does not say.
export async function roomHere() {
  const { usage, quota } = (await navigator.storage?.estimate?.().catch(() => null)) ?? {};
  return quota ? { used: usage, most: quota, share: usage / quota } : null;
}

const megabytes = (bytes) => `${Math.round(bytes / 1e6).toLocaleString("en-US")} MB`;

// A sentence once more than four fifths are taken, else null.
export async function roomWarning() {
  const room = await roomHere();
  if (!room || room.share < NEARLY_FULL) return null;
  return `This phone has little room left for what you record: ${megabytes(room.used)} of ${megabytes(room.most)} are taken. Send what waits, or make room on the phone, before you take more pictures.`;
}

// What to say when the device did not keep something, and what to do then.
export function notSaved(error, then = "It is still on the screen. Make room on the phone or send what waits, and go on.") {
  const why = error?.name === "QuotaExceededError" ? "this phone has no room left" : (error?.message ?? "the phone did not say why");
  return `NOT SAVED: ${why}. ${then}`;
}
