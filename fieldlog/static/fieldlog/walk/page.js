// Walking an edge: choose the plot, walk, look, save on the phone. Sending comes by itself.

import { known } from "../offline/facts.js";
import { newId } from "../offline/ids.js";
import { KINDS } from "../offline/kinds.js";
import { Outbox } from "../offline/outbox.js";
import { showQueue } from "../offline/queue.js";
import { banner, element, part, screen, show, sureButton } from "../offline/screens.js";
import { keepShell } from "../offline/shell.js";
import { allRecords, discard, entries, keepWhole, persist } from "../offline/store.js";
import { acresWithin, countText } from "../../plots/units.js";
import { watchChoice } from "./choose.js";
import { accuracyWords, clock, counts, inFeet, lengthOf, roughOf, wayOf } from "./figures.js";
import { titleOf, told } from "./kind.js";
import { Recorder } from "./recorder.js";
import { Sketch } from "./sketch.js";
import { sayWhatIsMissing, wrong } from "./troubles.js";

const TOLERANCE_M = 2; // the review page has others

const slug = decodeURIComponent(location.pathname.split("/")[2]);
let ground = null;
let draft = null; // what was chosen, before it is a record
let ended = null; // { record, fixes } on the screen after Stop

const recorder = new Recorder({ seen, wrong });
const outbox = new Outbox({ kinds: KINDS, changed: (stopped) => showQueue({ stopped, outbox, user: ground?.user }) });
const choice = watchChoice(({ plot, newName }) => makeReady({ plot, newName }));
const sketches = { walk: new Sketch(part("sketch", screen("walk"))), look: new Sketch(part("sketch", screen("look"))) };

begin();

async function begin() {
  sayWhatIsMissing();
  keepShell();
  try {
    await know();
    const open = (await allRecords()).filter(isMineAndOpen).at(-1);
    if (open) offerToGoOn(open);
    else askForPlot();
  } catch (error) {
    banner("store", "stop", `This browser keeps nothing (${error.message}), so nothing can be recorded. A private window does that; open the page in an ordinary one.`);
    part("loading").hidden = true;
    throw error;
  }
  outbox.send();
}

const isMineAndOpen = (record) =>
  record.kind === "walk" && record.state === "open" && record.slug === slug && (!record.user || !ground || record.user.id === ground.user.id);

// What the server says of the property; without signal, what it said last.
async function know() {
  ground = await known(slug, `/p/${encodeURIComponent(slug)}/walk/ground.json`);
  part("home").href = `/p/${encodeURIComponent(slug)}/`;
  part("home").textContent = ground?.property ?? "To the property";
  choice.know(ground);
}

function askForPlot() {
  const asked = new URLSearchParams(location.search).get("plot");
  const plot = ground?.plots.features.find(({ id }) => String(id) === asked);
  if (plot) {
    choice.tick(asked);
    makeReady({ plot: { id: plot.id, name: plot.properties.name }, newName: "" });
  } else show("choose");
}

function makeReady(chosen) {
  draft = chosen;
  part("title", screen("ready")).textContent = draft.plot?.name ?? (draft.newName || "the new plot");
  part("accuracy", screen("ready")).textContent = "Waiting for your position …";
  show("ready");
  recorder.listen();
}

const worst = () => Number(document.querySelector("[name=worst]:checked").value);

for (const box of document.querySelectorAll("[name=worst]")) box.addEventListener("change", sayWorst);
function sayWorst() {
  part("worst-said").textContent = inFeet(worst());
}

part("start").addEventListener("click", async () => {
  persist();
  const record = {
    id: newId(),
    kind: "walk",
    slug,
    user: ground?.user ?? null,
    state: "open",
    startedAt: new Date().toISOString(),
    ...draft,
    worst_m: worst(),
    tolerance_m: TOLERANCE_M,
    note: "",
    stretch: 0,
    isPaused: false,
    count: 0,
    refused: null,
  };
  await goOn(record, []);
});
part("another").addEventListener("click", () => {
  recorder.stop();
  show("choose");
});

// Whether the walk is this tab's alone now.
async function take(record, fixes) {
  const isMine = await recorder.take(record, fixes);
  banner("elsewhere", "warn", isMine ? null : "This walk is being recorded in another tab of this phone; go on there.");
  return isMine;
}

async function goOn(record, fixes) {
  if (!(await take(record, fixes))) return;
  await recorder.go();
  ended = null;
  part("title", screen("walk")).textContent = titleOf(record);
  show("walk");
  paint();
}

// Every position, recorded or not.
function seen(fix) {
  const limit = recorder.record?.worst_m ?? worst();
  const [words, mood] = accuracyWords(fix[2], limit);
  for (const place of document.querySelectorAll("[data-accuracy]")) {
    place.className = `walk-accuracy ${mood}`;
    place.replaceChildren(element("strong", { textContent: words }), ` within ${inFeet(fix[2])} (${Math.round(fix[2])} m)`);
  }
  if (recorder.isRecording) paint();
}

function paint() {
  const { record, fixes } = recorder;
  if (!record) return;
  const way = wayOf(fixes, record.worst_m);
  const left = fixes.filter((fix) => !counts(fix, record.worst_m));
  const at = screen("walk");
  part("points", at).textContent = countText(fixes.length - left.length);
  part("left", at).textContent = countText(left.length);
  part("far", at).textContent = inFeet(lengthOf(way));
  part("state", at).textContent = record.isPaused ? "Paused" : "Recording";
  part("state", at).className = record.isPaused ? "tag warn" : "tag good";
  part("pause", at).textContent = record.isPaused ? "Go on" : "Pause";
  sketches.walk.draw({ outline: outlineOf(record), way, leftOut: left });
  tick();
}

function tick() {
  if (recorder.record) part("time", screen("walk")).textContent = clock(Date.now() - Date.parse(recorder.record.startedAt));
}
setInterval(tick, 1000);

const outlineOf = (record) => ground?.plots.features.find(({ id }) => id === record.plot?.id)?.geometry ?? null;

part("pause").addEventListener("click", async () => {
  await (recorder.isRecording ? recorder.pause() : recorder.go());
  paint();
});
part("stop").addEventListener("click", async () => {
  const { record, fixes } = recorder;
  if (!record.isPaused) await recorder.pause();
  recorder.stop();
  look(record, fixes);
});

function look(record, fixes) {
  ended = { record, fixes };
  const at = screen("look");
  const way = wayOf(fixes, record.worst_m);
  const rough = roughOf(way);
  part("title", at).textContent = titleOf(record);
  part("rough", at).textContent = rough ? `about ${acresWithin(rough.acres, rough.margin)}` : "no ground yet";
  const used = fixes.filter((fix) => counts(fix, record.worst_m)).length;
  part("used", at).textContent = `${countText(used)} of ${countText(fixes.length)} points count.`;
  part("gap", at).textContent = rough ? `From the last point to the first there are ${inFeet(rough.gap_m)}; the outline is closed with a straight line.` : "An outline needs three points that count. Go on walking, or throw this walk away.";
  part("name-field", at).hidden = Boolean(record.plot);
  part("name", at).value = record.newName;
  part("note", at).value = record.note;
  sketches.look.draw({ outline: outlineOf(record), way, leftOut: fixes.filter((fix) => !counts(fix, record.worst_m)), isClosed: true });
  show("look");
}

part("save").addEventListener("submit", async (event) => {
  event.preventDefault();
  const { record, fixes } = ended;
  const at = screen("look");
  const saved = { ...record, state: "ready", count: fixes.length, newName: record.plot ? "" : part("name", at).value.trim(), note: part("note", at).value.trim() };
  try {
    await keepWhole(saved, fixes);
  } catch (error) {
    banner("kept", "stop", `NOT SAVED: this phone did not keep it (${error.message}). Make room on the phone and press Save again.`);
    return;
  }
  banner("kept", "", null);
  ended = null;
  part("saved-title").textContent = titleOf(saved);
  show("saved");
  outbox.send();
});
part("more").addEventListener("click", () => goOn(ended.record, ended.fixes));
part("discard").append(sureButton("Throw away", "Throw this walk away for good?", async () => {
  await discard(ended.record.id);
  ended = null;
  show("choose");
}));
part("again").addEventListener("click", () => show("choose"));

async function offerToGoOn(record) {
  const fixes = await entries(record.id);
  record.count = fixes.length;
  const at = screen("open");
  part("title", at).textContent = titleOf(record);
  part("told", at).textContent = `${told(record)}.`;
  part("go-on", at).onclick = () => goOn(record, fixes);
  part("look", at).onclick = async () => {
    if (!(await take(record, fixes))) return;
    recorder.stop();
    look(record, fixes);
  };
  part("later", at).onclick = askForPlot;
  show("open");
}

sayWorst();
