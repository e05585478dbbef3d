// What keeps a walk from being recorded, as sentences over the screens.

import { countText } from "../../plots/units.js";
import { DENIED, FULL, KEPT, MOST_FIXES, NOT_KEPT, SILENT } from "./recorder.js";
import { banner, part, screen } from "../offline/screens.js";

// Hears what the recorder tells; null when it is well again.
export function wrong(what) {
  if (what === NOT_KEPT) banner("kept", "stop", "This phone did not keep the last points. Make room on it; they are tried again with each new one, and when you save.");
  else if (what === KEPT) banner("kept", "", null);
  else if (what === FULL) banner("full", "warn", `This walk has ${countText(MOST_FIXES)} points, which is the most. Stop and save it; what you walk from here on is not recorded.`);
  else ofPosition(what);
}

function ofPosition(what) {
  const said = {
    [DENIED]: "The browser may not know where you are. Allow the location for this site in the browser's settings (and on the phone, for the browser), then open this page again.",
    [SILENT]: "The phone does not say where it is. Step into the open; recording goes on as soon as it does.",
  }[what];
  banner("position", what === DENIED ? "stop" : "warn", said ?? null);
  if (what === DENIED) part("accuracy", screen("ready")).textContent = "No position.";
  part("start").disabled = what === DENIED;
}

export function sayWhatIsMissing() {
  if (!isSecureContext) {
    banner("secure", "stop", "This page was not opened over https, so the browser tells it no position and keeps nothing without signal. Open it by an https address whose certificate the phone trusts.");
  } else if (!navigator.geolocation) {
    banner("secure", "stop", "This browser has no positions, so nothing can be walked with it.");
  }
  part("start").disabled = !isSecureContext || !navigator.geolocation;
  navigator.permissions?.query({ name: "geolocation" }).then((permission) => {
    const say = () => permission.state === "denied" && wrong(DENIED);
    permission.addEventListener("change", () => (permission.state === "denied" ? wrong(DENIED) : wrong(null)));
    say();
  }, () => null);
}
