// Goes through what is needed and says it on the page, one line each.

import * as checks from "./checks.js";

const list = document.querySelector("[data-checks]");
const summary = document.querySelector("[data-summary]");
const WORDS = { ready: "Ready.", ask: "To do.", missing: "Missing.", unknown: "Cannot be seen." };
const LOOKS = ["pages", "kept", "room", "camera", "place", "installed"];
const ON_PRESS = { pages: checks.pages, kept: checks.askToKeep, place: checks.findPlace };

const line = (name) => list.querySelector(`[data-check="${name}"]`);

function say(name, [state, sentence]) {
  const item = line(name);
  item.dataset.is = state;
  if (name === "pages") say("secure", checks.secure(state));
  const word = Object.assign(document.createElement("strong"), { textContent: WORDS[state] });
  item.querySelector("[data-said]").replaceChildren(word, ` ${sentence}`);
  const act = item.querySelector("[data-act]");
  if (act) act.hidden = state === "ready" || state === "unknown" || (state === "missing" && !isSecureContext);
  sum();
}

function sum() {
  const items = [...list.children];
  const open = items.filter((item) => item.dataset.is !== "ready");
  if (items.some((item) => !item.dataset.is)) return;
  const names = open.map((item) => item.querySelector("h2").textContent.toLowerCase());
  summary.textContent = open.length ? `${items.length - open.length} of ${items.length} ready. Left: ${names.join(", ")}.` : "Everything is ready.";
}

async function act(name, look) {
  line(name).querySelector("[data-said]").textContent = "One moment …";
  say(name, await look());
}

function listen() {
  for (const [name, look] of Object.entries(ON_PRESS)) line(name).querySelector("button").addEventListener("click", () => act(name, look));
  line("camera").querySelector("input").addEventListener("change", ({ target }) => {
    const [file] = target.files;
    if (file) act("camera", () => checks.lookAtPicture(file));
  });
}

// The steps of this kind of phone are open, those of the other one press away.
function openSteps() {
  const kind = "standalone" in navigator ? "apple" : matchMedia("(pointer: coarse)").matches ? "android" : null;
  const steps = kind && document.querySelector(`[data-for="${kind}"]`);
  if (steps) steps.open = true;
}

openSteps();
if (list) {
  listen();
  for (const name of LOOKS) Promise.resolve(checks[name]()).then((found) => say(name, found));
}
