// All plots, the one that you stand in first; and one plot: what grows there and what was seen last.

import { acresText, feetText, FT_A_M } from "../../plots/units.js";
import { element, part, screen } from "../offline/screens.js";
import { counted, moment } from "../offline/words.js";
import { farWords, nearestFirst } from "./ground.js";
import { drawGround } from "./sketch.js";

const FIND_FROM = 9;
const MOST_SHOWN = 40;

const tag = (textContent, mood = "") => element("span", { className: `tag ${mood}`, textContent });

export const dueOf = (facts, plotId) => facts.due?.[plotId] ?? [];
export const restrictionsOf = (facts, plotId) => facts.restrictions.filter(({ plot_id, until }) => plot_id === plotId && Date.parse(until) > Date.now());
const visitsOf = (facts, plotId) => facts.visits?.[plotId] ?? [];
const isToday = (at) => new Date(at).toDateString() === new Date().toDateString();

// Who was there today, as sentences; `own` are the person's visits to the plot that this phone has.
export function seenToday(facts, plotId, own = []) {
  const mine = finishedToday(own);
  const others = visitsOf(facts, plotId).filter(({ id, at }) => isToday(at) && !mine.some((record) => record.id === id));
  const told = [...mine.map(({ startedAt }) => ["You were", startedAt]), ...others.map(({ by, at }) => [`${by} was`, at])];
  return told.map(([who, at]) => `${who} here today, ${moment(at).split(" ")[0]}.`);
}

const finishedToday = (records) => records.filter(({ state, startedAt }) => state !== "open" && isToday(startedAt));

// `records` are the person's own visits that this phone has.
export function showHome({ facts, where, records }) {
  const at = screen("home");
  const ranked = nearestFirst(facts.plots.features, where.now);
  const words = part("find", at).value.trim().toLowerCase();
  const fit = ranked.filter(({ plot }) => plot.properties.name.toLowerCase().includes(words));
  part("find-field", at).hidden = ranked.length < FIND_FROM;
  part("plots", at).replaceChildren(...fit.slice(0, MOST_SHOWN).map((each) => plotRow(facts, each, records)));
  part("more", at).textContent = fit.length > MOST_SHOWN ? `${fit.length - MOST_SHOWN} more; type part of the name to find one.` : "";
  part("empty", at).hidden = ranked.length > 0;
  part("begun", at).replaceChildren(...records.filter(({ state }) => state === "open").map(begunNote));
  const inside = ranked.filter(({ isInside }) => isInside);
  part("map", at).toggleAttribute("hidden", !drawGround(part("map", at), { plots: facts.plots.features, strong: new Set(inside.map(({ plot }) => plot.id)), here: where.now }));
  showHere(at, where, ranked, inside);
}

function showHere(at, where, ranked, inside) {
  const [title, told, mood] = hereWords(where, ranked, inside);
  part("head", at).textContent = title;
  part("here", at).textContent = told;
  part("here", at).className = `field-here ${mood}`;
  const main = part("stand", at);
  const nearest = inside[0] ?? (where.now && ranked[0]?.m !== null ? ranked[0] : null);
  main.hidden = !nearest;
  if (nearest) {
    main.href = `#plot-${nearest.plot.id}`;
    main.textContent = nearest.isInside ? `To ${nearest.plot.properties.name}` : `Nearest: ${nearest.plot.properties.name}`;
  }
  part("locate", at).hidden = !where.canBe || where.isOn;
}

// [title, sentence, mood]
function hereWords(where, ranked, inside) {
  const here = where.now;
  if (!where.canBe) return ["Which plot?", "This browser tells no position, so choose the plot.", ""];
  if (where.trouble === "denied") return ["Which plot?", "The browser may not know where you are; choose the plot, or allow the location in the browser's settings.", ""];
  if (!where.isOn) return ["Which plot?", "Choose it, or let the phone find where you stand.", ""];
  if (!here) return ["Which plot?", where.trouble ? "The phone does not say where it is just now; choose the plot." : "Waiting for your position …", ""];
  const within = `within ${feetText(here.accuracy_m * FT_A_M)}`;
  if (inside.length) {
    const other = inside[1] ? ` ${inside[1].plot.properties.name} has this ground too.` : "";
    return [`You are in ${inside[0].plot.properties.name}`, `Your position is known ${within}.${other}`, "good"];
  }
  const nearest = ranked[0];
  if (!nearest || nearest.m === null) return ["Which plot?", `Your position is known ${within}; no plot here has an outline.`, ""];
  const perhaps = nearest.m <= here.accuracy_m ? "You may be in it: your position is known" : "Your position is known";
  return ["You are in no plot", `${nearest.plot.properties.name} is ${farWords(nearest)}. ${perhaps} ${within}.`, ""];
}

function plotRow(facts, { plot, isInside, m, bearing_deg }, records) {
  const mine = records.filter((record) => record.plot.id === plot.id);
  const due = dueOf(facts, plot.id).length;
  const [last] = visitsOf(facts, plot.id);
  const tags = [
    mine.some(({ state }) => state === "open") ? tag("begun", "warn") : null,
    mine.some(({ refused }) => refused) ? tag("refused", "stop") : mine.some(({ state }) => state === "ready") ? tag("waits to be sent", "warn") : null,
    restrictionsOf(facts, plot.id).length ? tag("look out", "stop") : null,
    due ? tag(`${due} due`) : null,
  ];
  const before = last ? (isToday(last.at) ? `${last.by} was here today` : `last visit ${moment(last.at)}`) : "not visited yet";
  const seen = finishedToday(mine).length ? "you were here today" : before;
  return element("li", {}, element("a", { className: "field-link", href: `#plot-${plot.id}` },
    element("strong", { textContent: plot.properties.name }),
    element("span", { className: "fig", textContent: isInside ? "here" : m === null ? "" : farWords({ m, bearing_deg }) }),
    element("span", { className: "muted", textContent: [facts.planted?.[plot.id]?.blend, seen].filter(Boolean).join(" · ") }),
    element("span", { className: "field-tags" }, ...tags),
  ));
}

function begunNote(record) {
  const link = element("a", { href: `#visit-${record.id}`, textContent: "Go on with it" });
  return element("p", { className: "note warn" }, `A visit to ${record.plot.name}, begun ${moment(record.startedAt)}, is not finished. `, link);
}

// `records` are those of this plot on this phone.
export function showPlot({ facts, plot, protocols, records }) {
  const at = screen("plot");
  const planted = facts.planted?.[plot.id];
  const open = records.find(({ state }) => state === "open");
  const waiting = records.filter(({ state }) => state === "ready").length;
  part("title", at).textContent = plot.properties.name;
  part("stops", at).replaceChildren(...restrictionsOf(facts, plot.id).map(({ sentence }) => element("p", { className: "note stop", textContent: sentence })));
  part("others", at).replaceChildren(...seenToday(facts, plot.id, records).map((textContent) => element("p", { className: "note", textContent })));
  part("waiting", at).hidden = !waiting;
  part("waiting", at).textContent = `${counted(waiting, "visit", "visits")} to this plot ${waiting === 1 ? "waits" : "wait"} on this phone to be sent.`;
  part("facts", at).replaceChildren(...factsOf(plot, planted));
  part("sown", at).replaceChildren(...(planted?.sown ?? []).map(sownRow));
  part("sown-part", at).hidden = !planted?.sown?.length;
  part("asked", at).replaceChildren(...protocols.map(({ name, isDue }) => element("li", {}, name, isDue ? " " : "", isDue ? tag("due", "warn") : "")));
  part("asked-none", at).hidden = protocols.length > 0;
  part("visits", at).replaceChildren(...visitsOf(facts, plot.id).map(visitRow));
  part("visits-none", at).hidden = visitsOf(facts, plot.id).length > 0;
  part("begin", at).hidden = !facts.may_record || Boolean(open);
  part("go-on", at).hidden = !open;
  if (open) part("go-on", at).href = `#visit-${open.id}`;
}

function factsOf(plot, planted) {
  const pair = (name, value) => element("div", {}, element("dt", { textContent: name }), element("dd", { textContent: value }));
  const { acres } = plot.properties;
  return [
    pair("acres", acres === null ? "not known" : acresText(acres)),
    planted ? pair("on it", planted.blend || "fallow") : pair("on it", "nothing known"),
    ...(planted?.age_days === null || planted?.age_days === undefined ? [] : [pair("since planting", counted(planted.age_days, "day", "days"))]),
  ];
}

function sownRow({ name, live_seeds_per_ft2: live }) {
  return element("div", {}, element("dt", { textContent: name }), element("dd", { className: "fig", textContent: live === null || live === undefined ? "not known" : `${live.toFixed(1)} live seeds/ft²` }));
}

function visitRow({ at, by, note, readings }) {
  return element("li", {}, element("strong", { textContent: `${moment(at)}, ${by}` }), note ? element("p", { textContent: note }) : null,
    ...readings.map(({ kind, told }) => element("p", { className: "small", textContent: told ? `${kind}. ${told}` : kind })));
}
