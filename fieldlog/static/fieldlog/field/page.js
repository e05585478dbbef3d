// The field log in the hand: where you stand, and what is known of each plot. What is recorded comes with records.js,
// once the first screen stands.

import { known } from "../offline/facts.js";
import { banner, part, screen, show } from "../offline/screens.js";
import { keepShell } from "../offline/shell.js";
import { allRecords } from "../offline/store.js";
import { moment } from "../offline/words.js";
import { protocolsOf } from "./asked.js";
import { showHome, showPlot } from "./home.js";
import { Where } from "./where.js";

const OLD_MS = 24 * 3600 * 1000;
const PATIENCE_MS = 5_000;

const slug = decodeURIComponent(location.pathname.split("/")[2]);
const home = `/p/${encodeURIComponent(slug)}`;
let facts = null;
let shownPlot = null;
let records = null; // once it is here
let coming = null;

const where = new Where(moved);
const go = (hash) => (location.hash = hash);

begin();

async function begin() {
  const isKept = keepShell();
  isKept.then((is) => banner("shell", "warn", is ? null : "This browser opens the page with signal only: it was not reached over https, or keeps nothing."));
  try {
    facts = await known(`${slug}/field`, `${home}/field/field.json`);
  } catch (error) {
    banner("store", "stop", `This browser keeps nothing (${error.message}), so nothing can be recorded. A private window does that; open the page in an ordinary one.`);
    part("loading").hidden = true;
    throw error;
  }
  part("home").href = `${home}/`;
  part("home").textContent = facts?.property ?? "To the property";
  if (facts) sayAge();
  addEventListener("hashchange", route);
  await where.startIfAllowed(); // before the first screen, which has room for what comes of it
  await route();
  if (await isKept) await stoodBefore();
  await comeRecords();
  records?.send();
}

// Until the worker stands before this page: what comes then lies on the phone already.
function stoodBefore() {
  const { serviceWorker } = navigator;
  if (serviceWorker.controller) return null;
  return Promise.race([new Promise((done) => serviceWorker.addEventListener("controllerchange", done)), new Promise((late) => setTimeout(late, PATIENCE_MS))]);
}

function comeRecords() {
  coming ??= importRecords().catch((error) => {
    coming = null; // it is tried again when it is needed
    banner("rest", "warn", "A part of this page did not come through. Open it once more where there is signal.");
    reportError(error);
  });
  return coming;
}

async function importRecords() {
  const { Records } = await import("./records.js");
  records ??= new Records({ facts: () => facts, where, go, slug, changed: repaintHome });
  banner("rest", "", null);
}

function sayAge() {
  part("age").textContent = `As of ${moment(facts.knownAt)}.`;
  const isOld = Date.now() - Date.parse(facts.knownAt) > OLD_MS;
  banner("age", "warn", isOld ? `What this phone knows is as of ${moment(facts.knownAt)}. Open the page with signal for what has changed since.` : null);
}

// What the address asks for behind #, so that the phone's own Back goes back.
async function route() {
  if (location.hash === "#main" && document.body.dataset.at) return; // 'Skip to the page' stays where it is
  const [, plotId] = location.hash.match(/^#plot-(\d+)$/) ?? [];
  banner("elsewhere", "", null);
  banner("taken", "", null);
  if (location.hash.length > 1 && !plotId) await comeRecords();
  shownPlot = plotOf(plotId);
  await records?.leave(location.hash);
  if (!facts) show("unknown");
  else if (shownPlot) await openPlot();
  else if (records && (await records.open(location.hash))) return;
  else await openHome();
}

const plotOf = (id) => facts?.plots.features.find((each) => String(each.id) === id) ?? null;

// The person's own visits that this phone has, the latest first; those that were sent stay for a day.
async function visitsHere() {
  const isMine = ({ user }) => !user || !facts || user.id === facts.user.id;
  const found = (await allRecords()).filter((each) => each.kind === "visit" && each.slug === slug && isMine(each));
  return found.sort((a, b) => (a.startedAt < b.startedAt ? 1 : -1));
}

async function openHome() {
  showHome({ facts, where, records: await visitsHere() });
  if (document.body.dataset.at !== "home") show("home");
}

async function repaintHome() {
  if (facts && document.body.dataset.at === "home") showHome({ facts, where, records: await visitsHere() });
}

async function openPlot() {
  const plot = shownPlot;
  const found = (await visitsHere()).filter((each) => each.plot.id === plot.id);
  showPlot({ facts, plot, protocols: protocolsOf(facts, plot.id), records: found });
  show("plot");
}

// Every position.
function moved() {
  repaintHome();
  records?.moved();
}

part("begin").addEventListener("click", async () => {
  where.startIfAllowed();
  const { id, properties } = shownPlot;
  await comeRecords();
  await records?.begin({ id, name: properties.name });
});
part("find", screen("home")).addEventListener("input", repaintHome);
part("locate").addEventListener("click", () => where.start());
