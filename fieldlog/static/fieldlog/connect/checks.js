// What a page of the field needs of the browser. Each look gives [state, sentence]; a state is "ready", "ask" (waits for a
// press), "missing" or "unknown". What the browser can do decides, never its name.

import { keepShell } from "../offline/shell.js";

export const ENOUGH_BYTES = 200e6; // some 300 pictures as they are kept
const PLACE_PATIENCE_MS = 20000;
const EXACT_ENOUGH_M = 30;

const READ_AGAIN = "then open this page again";

// `pagesState` is what `pages` found: behind a certificate warning that was passed by, a page is called secure all the same,
// and only keeping pages is refused.
export function secure(pagesState) {
  const isDoubtful = isSecureContext && pagesState === "missing" && "serviceWorker" in navigator && navigator.onLine;
  if (isDoubtful) return ["unknown", "The browser calls this address secure and yet keeps no pages of it: it may have been opened past a warning about its certificate. Install the certificate, then open this page again."];
  if (isSecureContext) return ["ready", "The address begins with https:// and the browser takes it as secure."];
  return ["missing", `The browser does not trust this address. Pages that work without signal need one that begins with https://, with a certificate that the phone trusts: set that up, ${READ_AGAIN}.`];
}

export async function pages() {
  if (!("serviceWorker" in navigator)) {
    return ["missing", "This browser keeps no pages here: the address is not trusted, or this is a private window, or the browser is too old."];
  }
  if (await keepShell()) return ["ready", "The pages of the field are kept on this device."];
  return ["missing", navigator.onLine
    ? "The browser would not keep the pages. Most often the certificate is not trusted yet, though the page could be opened past a warning; a private window refuses too."
    : "The pages could not be fetched: there is no signal now. Try again where there is."];
}

export async function kept() {
  if (!navigator.storage?.persisted) return ["unknown", "This browser does not say whether it keeps what is recorded. Send what waits as soon as there is signal."];
  if (await navigator.storage.persisted()) return ["ready", "The browser has promised to keep what waits here until it is sent."];
  return ["ask", "The browser has not promised it yet."];
}

export async function askToKeep() {
  if (await navigator.storage.persist()) return kept();
  return ["missing", "The browser did not promise it. Mostly it does once the page is on the home screen. Until then, send what waits within a few days: a browser may clear what has not been opened for a week."];
}

export async function room() {
  const { quota, usage } = (await navigator.storage?.estimate?.().catch(() => null)) ?? {};
  if (!(quota > 0)) return ["unknown", "This browser does not say how much room is left."];
  const left = quota - (usage ?? 0);
  if (left >= ENOUGH_BYTES) return ["ready", `About ${sized(left)} are left for this site.`];
  return ["missing", `Only about ${sized(left)} are left for this site. Free some room on the phone: 60 pictures take about 40 MB.`];
}

export function sized(bytes) {
  if (bytes >= 1e9) return `${(bytes / 1e9).toFixed(1)} GB`;
  return `${Math.max(0, Math.floor(bytes / 1e6))} MB`;
}

export const camera = () => ["ask", "A trial picture shows whether the phone lets this page have one. It is looked at here and dropped again."];

export async function lookAtPicture(file) {
  try {
    const picture = await createImageBitmap(file);
    const { width, height } = picture;
    picture.close();
    return ["ready", `A picture of ${width} × ${height} dots came through and was dropped again.`];
  } catch {
    return ["missing", "This picture could not be read. Let the browser use the camera in the phone’s settings, and let the camera save pictures as JPEG."];
  }
}

export async function place() {
  if (!("geolocation" in navigator) || !isSecureContext) return ["missing", "This browser tells no position here: the address has to be trusted first."];
  const { state } = (await navigator.permissions?.query({ name: "geolocation" }).catch(() => null)) ?? {};
  if (state === "denied") return ["missing", NO_LEAVE];
  return ["ask", "The phone asks whether this site may know where you are. Allow it while the page is in use, and exactly."];
}

const NO_LEAVE = `The position is refused to this site. Allow it in the settings of the browser and of the phone, while in use and exactly, ${READ_AGAIN}.`;
const WHY_NO_PLACE = {
  1: NO_LEAVE,
  2: "The phone does not know where it is. Turn its location on, and try again under open sky.",
  3: "No position came within 20 seconds. Under open sky it is quicker; try again there.",
};

export function findPlace() {
  return new Promise((told) => {
    navigator.geolocation.getCurrentPosition(
      ({ coords }) => told(placeSaid(coords.accuracy)),
      ({ code }) => told(["missing", WHY_NO_PLACE[code] ?? WHY_NO_PLACE[2]]),
      { enableHighAccuracy: true, timeout: PLACE_PATIENCE_MS, maximumAge: 0 },
    );
  });
}

export function placeSaid(accuracy_m) {
  const within = `within ${Math.ceil(accuracy_m)} m`;
  if (accuracy_m <= EXACT_ENOUGH_M) return ["ready", `The phone knows this place ${within}.`];
  return ["missing", `The phone knows this place only ${within}. Under open sky it gets better; if it does not, allow the exact position in the phone’s settings.`];
}

export function installed() {
  if (matchMedia("(display-mode: standalone)").matches || navigator.standalone === true) {
    return ["ready", "This page was opened from the home screen."];
  }
  // Only where the browser knows `standalone` does an installed page have a store of its own.
  const own = "standalone" in navigator ? " Do it before you record: an installed page has a store of its own here, and you sign in once more." : "";
  return ["ask", `This is a tab of the browser. Open your page of the field below and choose “Add to Home Screen” or “Install” in the browser’s menu.${own}`];
}
