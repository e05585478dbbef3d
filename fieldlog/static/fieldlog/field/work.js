// The work list in the hand: nearest first, what is overdue before the rest. What was reported here counts at once.

import { banner, element, part, screen, show } from "../offline/screens.js";
import { allRecords } from "../offline/store.js";
import { moment } from "../offline/words.js";
import { cautionFold } from "./checkin.js";
import { contains, farWords, nearestEdge, wayTo } from "./ground.js";
import { restrictionsOf } from "./home.js";
import { drawGround } from "./sketch.js";
import { spent } from "./work_kinds.js";
import { newWorkScreen } from "./work_new.js";
import { reportScreen } from "./work_report.js";

const LOOK_AGAIN_MS = 5_000;
const ALWAYS = ["heat", "alone"];

export function workScreens(ctx) {
  const [list, one] = [screen("work"), screen("work-item")];
  const report = reportScreen(ctx);
  const fresh = newWorkScreen(ctx);
  let whose = "mine";
  let order = "";

  const mine = ({ user }) => !user || !ctx.user() || user.id === ctx.user().id;
  const recordsHere = async () => (await allRecords()).filter((record) => record.slug === ctx.slug && mine(record));

  // What is known, what was found on this phone, and what became of either here: [{ …, report, isHere }].
  async function work() {
    const records = await recordsHere();
    const known = ctx.facts()?.work ?? [];
    const ids = new Set(known.map(({ id }) => id));
    const found = records.filter(({ kind, id, state }) => kind === "workitem" && state !== "open" && !ids.has(id)).map(itemOf);
    const reports = records.filter(({ kind, state }) => kind === "work" && state !== "open");
    return [...known, ...found].map((item) => {
      const told = reports.filter((record) => record.item.id === item.id);
      return { ...item, told, isDone: told.some(({ isFinished }) => isFinished) };
    });
  }

  function itemOf(record) {
    const { work: said, plot, place, user, id, title } = record;
    const today = dayOf(new Date());
    return {
      ...said, id, title, plot_id: plot?.id ?? null, lon: place?.lon ?? null, lat: place?.lat ?? null, minutes: null, isHere: true,
      is_mine: said.isMine, assigned_to: said.isMine ? (user?.name ?? null) : null, is_overdue: Boolean(said.due_on) && said.due_on < today,
    };
  }

  const plotOf = (item) => ctx.facts()?.plots.features.find(({ id }) => id === item.plot_id) ?? null;

  // { m, bearing_deg } from here to it, null where either is not known.
  function wayToItem(item) {
    const here = ctx.position();
    if (!here) return null;
    const at = [here.lon, here.lat];
    if (item.lat !== null) return wayTo(at, [item.lon, item.lat]);
    const outline = plotOf(item)?.geometry;
    return contains(outline, at) ? { m: 0, bearing_deg: 0 } : nearestEdge(outline, at);
  }

  async function openList() {
    show("work");
    await paintList();
  }

  async function paintList() {
    const all = (await work()).filter((item) => whose === "all" || item.is_mine || !item.assigned_to);
    const ranked = all.map((item) => ({ item, way: wayToItem(item) })).sort(byNearness);
    order = orderOf(ranked);
    const [done, left] = [ranked.filter(({ item }) => item.isDone), ranked.filter(({ item }) => !item.isDone)];
    const [late, rest] = [left.filter(({ item }) => item.is_overdue), left.filter(({ item }) => !item.is_overdue)];
    part("lists", list).replaceChildren(...listOf("Overdue", late), ...listOf(late.length ? "To do" : "", rest), ...listOf("Done on this phone", done));
    part("none", list).hidden = left.length > 0;
    part("none", list).textContent = ctx.facts() ? "Nothing to do here that this phone knows of." : "This phone has no work list yet, since the page has not been opened here with signal.";
    part("order", list).textContent = left.length ? (ctx.position() ? "Nearest first." : "The phone does not say where you are, so the soonest comes first.") : "";
    part("new", list).hidden = !ctx.facts()?.may_record;
    await sayBegun();
    for (const button of list.querySelectorAll("[data-whose]")) button.setAttribute("aria-pressed", String(button.dataset.whose === whose));
  }

  async function sayBegun() {
    const open = (await recordsHere()).filter(({ kind, state }) => ["work", "workitem"].includes(kind) && state === "open");
    const notes = open.map((record) => element("p", { className: "note warn" }, begunWords(record), element("a", { href: record.kind === "work" ? `#work-report-${record.id}` : "#work-new", textContent: "Go on with it" })));
    part("begun", list).replaceChildren(...notes);
  }

  function listOf(heading, ranked) {
    if (!ranked.length) return [];
    return [heading ? element("h2", { textContent: heading }) : "", element("ul", { className: "hand-list" }, ...ranked.map(rowOf))];
  }

  function rowOf({ item, way }) {
    return element("li", {}, element("a", { className: "field-link", href: `#work-${item.id}` },
      element("strong", { textContent: item.title }),
      element("span", { className: "fig", textContent: way ? wayWordsOf(way) : "" }),
      element("span", { className: "muted", textContent: [plotOf(item)?.properties.name ?? "the whole property", item.assigned_to].filter(Boolean).join(" · ") }),
      element("span", { className: "field-tags" }, ...tagsOf(item)),
    ));
  }

  async function openItem(id) {
    const item = (await work()).find((each) => each.id === id);
    banner("work-gone", "warn", item ? null : "This work is not on the list that this phone has; it may be done by now.");
    if (!item) return openList();
    const plot = plotOf(item);
    part("title", one).textContent = item.title;
    part("tags", one).replaceChildren(...tagsOf(item));
    part("stops", one).replaceChildren(...(plot ? restrictionsOf(ctx.facts(), plot.id) : []).map(({ sentence }) => element("p", { className: "note stop", textContent: sentence })));
    part("facts", one).replaceChildren(...factsOf(item, plot).map(([name, value]) => element("div", {}, element("dt", { textContent: name }), element("dd", { textContent: value }))));
    part("how", one).textContent = item.how ?? "";
    part("how", one).hidden = !item.how;
    part("cautions", one).replaceChildren(...cautionsFor(item).map(cautionFold));
    part("already", one).hidden = !item.told.length;
    part("already", one).textContent = item.told.map((record) => `Reported ${moment(record.startedAt)}: ${spent(record) || "done"}${record.state === "sent" ? "" : ", waits to be sent"}.`).join(" ");
    part("acts", one).hidden = !ctx.facts()?.may_record;
    const pin = item.lat === null ? null : { lon: item.lon, lat: item.lat };
    part("map", one).toggleAttribute("hidden", !drawGround(part("map", one), { plots: plot ? [plot] : [], strong: new Set([item.plot_id]), here: ctx.position(), pin }));
    part("done", one).textContent = item.isDone ? "Report more of it" : "It is done";
    part("part", one).hidden = item.isDone;
    part("done", one).onclick = () => report.begin(item, true);
    part("part", one).onclick = () => report.begin(item, false);
    show("work-item");
    return undefined;
  }

  function factsOf(item, plot) {
    const way = wayToItem(item);
    const rows = [
      ["Where", [plot?.properties.name ?? "the whole property", way && wayWordsOf(way), item.lat === null ? null : "at the pin"].filter(Boolean).join(", ")],
      ["By", item.due_on ? dayWords(item.due_on) : "no day"],
      ["Who", item.is_mine ? "you" : (item.assigned_to ?? "nobody yet")],
    ];
    if (item.tools) rows.push(["Take along", item.tools]);
    if (item.minutes !== null && item.minutes !== undefined) rows.push(["Spent so far", `${item.minutes} min`]);
    return rows;
  }

  function cautionsFor({ kind }) {
    return (ctx.facts()?.safety ?? []).filter(({ key, work: kinds }) => kinds.includes(kind) || ALWAYS.includes(key));
  }

  for (const button of list.querySelectorAll("[data-whose]")) {
    button.addEventListener("click", () => {
      whose = button.dataset.whose;
      paintList();
    });
  }

  // Where somebody walks, what is nearest changes.
  setInterval(async () => {
    if (document.body.dataset.at !== "work" || document.hidden) return;
    const ranked = (await work()).filter((item) => whose === "all" || item.is_mine || !item.assigned_to).map((item) => ({ item, way: wayToItem(item) })).sort(byNearness);
    if (orderOf(ranked) !== order) await paintList();
  }, LOOK_AGAIN_MS);

  return {
    open(hash) {
      const [, what, id] = hash.match(/^#work(?:-(report|new))?(?:-([0-9a-f-]{36}))?$/) ?? [];
      if (!hash.startsWith("#work")) return false;
      if (what === "report" && id) report.open(id);
      else if (what === "new") fresh.open(id);
      else if (id) openItem(id);
      else openList();
      return true;
    },
  };
}

const begunWords = ({ kind, item, title, startedAt }) =>
  kind === "work" ? `The report on “${item.title}”, begun ${moment(startedAt)}, is not finished. ` : `Something that needs doing${title ? `, “${title}”` : ""}, begun ${moment(startedAt)}, is not saved. `;

const wayWordsOf = (way) => (way.m < 1 ? "here" : farWords(way));

const tag = (textContent, mood = "") => element("span", { className: `tag ${mood}`, textContent });

function tagsOf(item) {
  const waits = item.told.some(({ state }) => state !== "sent") || item.isHere;
  return [
    item.isDone ? tag("done", "good") : null,
    !item.isDone && item.is_overdue ? tag(`was due ${dayWords(item.due_on)}`, "stop") : null,
    !item.isDone && item.due_on && !item.is_overdue ? tag(`by ${dayWords(item.due_on)}`) : null,
    !item.isDone && item.told.length ? tag("begun", "warn") : null,
    waits ? tag("waits to be sent", "warn") : null,
  ].filter(Boolean);
}

// The nearest first; where no way is known, the soonest.
const byNearness = (a, b) => (a.way?.m ?? Infinity) - (b.way?.m ?? Infinity) || (a.item.due_on ?? "9999").localeCompare(b.item.due_on ?? "9999");
const orderOf = (ranked) => ranked.map(({ item, way }) => `${item.id} ${way ? wayWordsOf(way) : ""} ${item.isDone}`).join();

// '2026-12-04', of this phone's day.
export function dayOf(date) {
  const two = (each) => String(each).padStart(2, "0");
  return `${date.getFullYear()}-${two(date.getMonth() + 1)}-${two(date.getDate())}`;
}

// 'Dec 4'; 'today' and 'tomorrow' by their names.
export function dayWords(day) {
  const [year, month, date] = day.split("-").map(Number);
  const at = new Date(year, month - 1, date);
  const days = Math.round((at - new Date(new Date().toDateString())) / 86_400_000);
  if (days === 0 || days === 1) return days ? "tomorrow" : "today";
  return at.toLocaleDateString("en-US", { month: "short", day: "numeric", ...(Math.abs(days) > 300 ? { year: "numeric" } : {}) });
}
