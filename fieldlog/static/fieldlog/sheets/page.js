// Planting day: the sheets of a season, the fills to tick, and what was planted. Everything stands on this device.

import { Draft } from "../offline/draft.js";
import { known } from "../offline/facts.js";
import { KINDS } from "../offline/kinds.js";
import { Outbox } from "../offline/outbox.js";
import { showQueue } from "../offline/queue.js";
import { banner, part, screen, show, sureButton } from "../offline/screens.js";
import { keepShell } from "../offline/shell.js";
import { discard, groundOf, persist, recordOf } from "../offline/store.js";
import { moment } from "../offline/words.js";
import { firstTick, showFills } from "./fills.js";
import { showForm, watchForm } from "./form.js";
import { List } from "./list.js";
import { begun, phoneZone, recordsByPlot } from "./record.js";
import { showSheet } from "./sheet.js";

const OLD_MS = 24 * 3600 * 1000;

const [, , slug, , season] = location.pathname.split("/").map(decodeURIComponent);
const place = `${slug}/seasons/${season}`;
const home = `/p/${encodeURIComponent(slug)}/seasons/${encodeURIComponent(season)}`;

let facts = null;
let fresh = null; // a record that was begun here and has no letter yet
let shown = null; // the sheet on the screen

const list = new List(place);
const draft = new Draft((error) => banner("kept", "stop", error && `This phone did not keep what you typed (${error.message}). Make room on it, and type on.`));
const outbox = new Outbox({ kinds: KINDS, changed });

begin();

async function begin() {
  keepShell().then((isKept) => banner("shell", "warn", isKept ? null : "This browser opens the page with signal only: it was not reached over https, or keeps nothing. Print the sheets before you leave."));
  try {
    facts = await known(place, `${home}/field/planting.json?${await asked()}`);
  } catch (error) {
    banner("store", "stop", `This browser keeps nothing (${error.message}), so nothing can be written down. A private window does that; open the page in an ordinary one.`);
    part("loading").hidden = true;
    throw error;
  }
  part("home").href = `${home}/planting/`;
  part("home").textContent = facts?.property ?? "To the season";
  if (facts) sayAge();
  addEventListener("hashchange", route);
  await route();
  outbox.send();
}

// Machine and level that the address names, or those that the sheets were made for last.
async function asked() {
  const query = new URLSearchParams(location.search);
  query.delete("plot");
  return query.size ? query : ((await groundOf(place))?.asked ?? "");
}

function sayAge() {
  part("age").textContent = `As of ${moment(facts.knownAt)}.`;
  const isOld = Date.now() - Date.parse(facts.knownAt) > OLD_MS;
  banner("age", "warn", isOld ? `These sheets are as of ${moment(facts.knownAt)}. Lots, plans and restrictions may have changed since; open the page with signal.` : null);
  banner("zone", "warn", facts.zone !== phoneZone() && offsetNow(facts.zone) !== offsetNow(phoneZone()) ? `This phone's clock is that of ${phoneZone()}, the site's that of ${facts.zone}. Days and times are written down as this phone shows them.` : null);
}

function offsetNow(timeZone) {
  return new Intl.DateTimeFormat("en-US", { timeZone, timeZoneName: "longOffset" }).formatToParts().find(({ type }) => type === "timeZoneName").value;
}

const sheetOf = (plotId) => facts?.sheets.find(({ plot }) => String(plot.id) === String(plotId));

// What the address asks for behind #, so that the phone's own Back goes back.
async function route() {
  const [, what, id] = location.hash.match(/^#(sheet|fills|record|saved)-(.+)$/) ?? [];
  if (what !== "record") await draft.letGo();
  if (what === "record" && (await openRecord(id))) return;
  shown = sheetOf(id);
  if (what === "saved") await showSaved(id);
  else if (what === "sheet" && shown) await openSheet();
  else if (what === "fills" && shown) {
    showFills(place, shown);
    show("fills");
  } else await openList();
}

async function openList() {
  if (!facts) {
    show("unknown");
    return;
  }
  part("season", screen("list")).textContent = facts.season.name;
  list.show(facts, await recordsByPlot(slug, season, facts.user));
  show("list");
}

async function openSheet() {
  const records = (await recordsByPlot(slug, season, facts.user)).get(shown.plot.id) ?? [];
  const open = records.find(({ state }) => state === "open");
  showSheet(shown, facts.cautions);
  part("go-on", screen("sheet")).hidden = !open;
  part("go-on", screen("sheet")).href = open ? `#record-${open.id}` : "";
  for (const each of document.querySelectorAll("[data-planted]")) each.hidden = !facts.may_record;
  show("sheet");
}

// Whether the record can be worked on here.
async function openRecord(id) {
  const stored = fresh?.id === id ? fresh : await recordOf(id);
  const record = stored?.state === "ready" ? await outbox.takeBack(id) : stored;
  const isMine = record && (!record.user || !facts || record.user.id === facts.user.id);
  banner("taken", "warn", stored?.state === "ready" && !record ? "This record may be with the server already, without its answer. It is sent again when there is signal; then it can be put right on its page there." : null);
  if (!record || record.state !== "open" || !isMine) return false;
  const isHere = await draft.take(record);
  banner("elsewhere", "warn", isHere ? null : "This record is open in another tab of this phone; go on there.");
  if (!isHere) return false;
  showForm(draft, sheetOf(record.plot.id), facts ?? { machines: [] });
  return true;
}

async function showSaved(id) {
  const record = await recordOf(id);
  part("saved-title").textContent = record?.plot?.name ?? "It";
  show("saved");
}

function plant() {
  persist();
  fresh = begun({ slug, season, user: facts.user, sheet: shown, since: firstTick(place, shown) });
  location.hash = `record-${fresh.id}`;
}

for (const button of document.querySelectorAll("[data-planted]")) button.addEventListener("click", plant);
part("fill", screen("sheet")).addEventListener("click", () => (location.hash = `fills-${shown.plot.id}`));
part("to-sheet", screen("fills")).addEventListener("click", () => (location.hash = `sheet-${shown.plot.id}`));
part("again", screen("saved")).addEventListener("click", () => (location.hash = ""));

watchForm(async () => {
  const { id } = draft.record;
  if (!(await draft.finish())) return;
  fresh = null;
  location.replace(`#saved-${id}`); // Back does not open what is on its way
  outbox.send();
});
part("discard").append(
  sureButton("Throw away", "Throw this record away for good?", async () => {
    const { id, plot } = draft.record;
    await draft.letGo();
    await discard(id);
    fresh = null;
    location.replace(`#sheet-${plot.id}`);
  }),
);

async function changed(stopped) {
  await showQueue({ stopped, outbox, user: facts?.user });
  if (facts && document.body.dataset.at === "list") list.show(facts, await recordsByPlot(slug, season, facts.user));
}
