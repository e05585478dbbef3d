// The field log in the hand: where you stand, what is asked there, and a visit. Everything stands on this device.

import { Draft } from "../offline/draft.js";
import { known } from "../offline/facts.js";
import { newId } from "../offline/ids.js";
import { KINDS } from "../offline/kinds.js";
import { Outbox } from "../offline/outbox.js";
import { showQueue } from "../offline/queue.js";
import { banner, part, screen, show } from "../offline/screens.js";
import { keepShell } from "../offline/shell.js";
import { allRecords, discard, persist } from "../offline/store.js";
import { moment } from "../offline/words.js";
import { protocolsOf } from "./asked.js";
import { showHome, showPlot } from "./home.js";
import { isEmpty } from "./kind.js";
import { Where, placeOf } from "./where.js";

const OLD_MS = 24 * 3600 * 1000;
const BETTER_M = 2;

const slug = decodeURIComponent(location.pathname.split("/")[2]);
const home = `/p/${encodeURIComponent(slug)}`;
let facts = null;
let shownPlot = null;
let rest = null;
let visits = null; // the screens of a visit, once they are here
let others = []; // those of work and safety

const draft = new Draft((error) => banner("kept", "stop", error && `NOT SAVED: this phone did not keep the last change (${error.message}). Make room on it, and go on.`));
const outbox = new Outbox({ kinds: KINDS, changed });
const where = new Where(moved);
const go = (hash) => (location.hash = hash);
const context = { facts: () => facts, go, position: () => where.now, user: () => facts?.user ?? null, outbox, slug };

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
  await route();
  where.startIfAllowed();
  outbox.send();
  await isKept; // then the rest lies on the phone already
  await loadRest();
}

// What is not needed for the first screen.
function loadRest() {
  rest ??= importRest().catch((error) => {
    rest = null; // it is tried again when it is needed
    banner("rest", "warn", "A part of this page did not come through. Open it once more where there is signal.");
    reportError(error);
  });
  return rest;
}

async function importRest() {
  const [{ Visits }, { workScreens }, { checkinScreens }] = await Promise.all([import("./visit.js"), import("./work.js"), import("./checkin.js")]);
  if (visits) return;
  visits = new Visits({ ...context, where, draft, replace: (hash) => location.replace(hash || "#") });
  others = [workScreens(context), checkinScreens(context)];
}

function sayAge() {
  part("age").textContent = `As of ${moment(facts.knownAt)}.`;
  const isOld = Date.now() - Date.parse(facts.knownAt) > OLD_MS;
  banner("age", "warn", isOld ? `What this phone knows is as of ${moment(facts.knownAt)}. Open the page with signal for what has changed since.` : null);
}

// What the address asks for behind #, so that the phone's own Back goes back.
async function route() {
  const [, what, id, within] = location.hash.match(/^#(plot|visit|saved|mend)-([^/]+)(?:\/(.*))?$/) ?? [];
  if (location.hash.length > 1 && what !== "plot") await loadRest();
  if (what !== "visit") await letGo();
  banner("elsewhere", "", null);
  banner("taken", "", null);
  shownPlot = what === "plot" ? plotOf(id) : null;
  if (!facts) show("unknown");
  else if (shownPlot) await openPlot();
  else if (what === "visit" && (await visits?.open(id, within ?? ""))) return;
  else if (what === "mend" && (await visits?.mend(id))) return;
  else if (what === "saved" && visits) await visits.saved(id);
  else if (location.hash.length > 1 && others.some((each) => each.open(location.hash))) return;
  else await openHome();
}

// What was begun and has nothing in it is not kept.
async function letGo() {
  const { record } = draft;
  await draft.letGo();
  if (record && record.state === "open" && isEmpty(record) && !record.answer && !record.refused) await discard(record.id);
}

const plotOf = (id) => facts?.plots.features.find((each) => String(each.id) === String(id)) ?? null;

// The person's own visits here that are not with the server yet, the latest first.
async function visitsHere() {
  const isMine = ({ user }) => !user || !facts || user.id === facts.user.id;
  const found = (await allRecords()).filter((each) => each.kind === "visit" && each.slug === slug && each.state !== "sent" && isMine(each));
  return found.sort((a, b) => (a.startedAt < b.startedAt ? 1 : -1));
}

async function openHome() {
  showHome({ facts, where, records: await visitsHere() });
  if (document.body.dataset.at !== "home") show("home");
}

async function openPlot() {
  const plot = shownPlot;
  const records = (await visitsHere()).filter((each) => each.plot.id === plot.id);
  showPlot({ facts, plot, protocols: protocolsOf(facts, plot.id), records });
  show("plot");
}

// Every position.
async function moved() {
  if (facts && document.body.dataset.at === "home") showHome({ facts, where, records: await visitsHere() });
  const { record } = draft;
  const now = placeOf(where.now);
  if (record?.kind !== "visit" || !now || !isAtPlace(record)) return;
  if (!record.place || now.accuracy_m < record.place.accuracy_m - BETTER_M) draft.change({ place: now });
  visits?.moved();
}

// A visit that is finished at the kitchen table was still made on the plot.
const isAtPlace = ({ startedAt }) => Date.now() - Date.parse(startedAt) < OLD_MS / 8;

async function changed(stopped) {
  await showQueue({ stopped, outbox, user: facts?.user });
  if (facts && document.body.dataset.at === "home") showHome({ facts, where, records: await visitsHere() });
}

part("begin").addEventListener("click", async () => {
  persist();
  where.startIfAllowed();
  const now = new Date().toISOString();
  const record = {
    id: newId(),
    kind: "visit",
    slug,
    user: facts.user,
    state: "open",
    startedAt: now,
    plot: { id: shownPlot.id, name: shownPlot.properties.name },
    visitedAt: now,
    place: placeOf(where.now),
    note: "",
    readings: [],
    photos: [],
    refused: null,
  };
  if (!(await draft.take(record))) return;
  draft.change({});
  go(`visit-${record.id}`);
});
part("find", screen("home")).addEventListener("input", async () => showHome({ facts, where, records: await visitsHere() }));
part("locate").addEventListener("click", () => where.start());
