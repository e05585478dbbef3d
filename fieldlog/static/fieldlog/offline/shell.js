// Keeps the pages of the field on this device, so that they open without signal.

export async function keepShell() {
  if (!("serviceWorker" in navigator)) return false;
  try {
    await navigator.serviceWorker.register("/sw.js", { updateViaCache: "none" });
    await navigator.serviceWorker.ready;
    return true;
  } catch {
    return false; // over plain http, or without signal on the first visit
  }
}
