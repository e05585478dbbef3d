// Working alone: back by a time. The cautions, and the heat.

import { newId } from "../offline/ids.js";
import { notSaved } from "../offline/room.js";
import { banner, element, part, screen, show } from "../offline/screens.js";
import { allRecords, changeRecord, keep, recordOf } from "../offline/store.js";
import { contains } from "./ground.js";
import { heatScreen } from "./heat.js";
import { placeOf } from "./where.js";
import { timeOf } from "./work_kinds.js";

const MINUTE_MS = 60_000;
const MORE_MS = 15 * MINUTE_MS;
const ALARM_EVERY_MS = 20_000;
const TRIES = 3;

export function checkinScreens(ctx) {
  const at = screen("checkin");
  const heat = heatScreen(ctx);
  let out = null; // the record of being out now
  let alarmedAt = 0;
  let sound = null;

  know().then(() => setInterval(tick, 1_000));

  // What this phone has, also of a page that was closed.
  async function know() {
    const user = ctx.user();
    const mine = (await allRecords()).filter(
      (record) => record.kind === "checkin" && record.slug === ctx.slug && !record.endedAt && (!user || !record.user || record.user.id === user.id),
    );
    out = mine.sort((a, b) => (a.startedAt < b.startedAt ? -1 : 1)).at(-1) ?? null;
    paint();
  }

  const leftMs = () => Date.parse(out.backBy) - Date.now();

  function paint() {
    part("out", at).hidden = part("out-acts", at).hidden = !out;
    part("in", at).hidden = Boolean(out);
    part("out-told", screen("safety")).textContent = out ? `Back by ${timeOf(out.backBy)}` : "Say by when you are back";
    part("notify", at).hidden = !("Notification" in window) || Notification.permission !== "default";
    if (out) {
      part("out-where", at).textContent = [`Back by ${timeOf(out.backBy)}`, out.plot && `at ${out.plot.name}`].filter(Boolean).join(", ");
      part("out-sent", at).textContent = sentWords();
    } else part("where-told", at).textContent = whereWords();
    tick();
  }

  function sentWords() {
    if (out.refused) return `Not taken: ${out.refused.sentence}`;
    return out.state === "sent" ? "The property's people can see this." : "Nobody can see this yet: it waits for a signal.";
  }

  function whereWords() {
    const plot = standsIn();
    if (plot) return `${plot.name} and your position go along.`;
    return ctx.position() ? "Your position goes along." : "The phone does not say where you are, so that does not go along.";
  }

  function standsIn() {
    const here = ctx.position();
    const found = here && ctx.facts()?.plots.features.find(({ geometry }) => contains(geometry, [here.lon, here.lat]));
    return found ? { id: found.id, name: found.properties.name } : null;
  }

  function tick() {
    if (!out) {
      banner("checkin", "", null);
      return;
    }
    const late = leftMs() < 0;
    part("left", at).textContent = clock(Math.abs(leftMs()));
    part("left-words", at).textContent = late ? "late: are you back?" : "until you should be back";
    part("out", at).classList.toggle("is-late", late);
    sayElsewhere(late);
    if (late && Date.now() - alarmedAt > ALARM_EVERY_MS) alarm();
  }

  // Over every other screen, while it is not the one that is seen.
  let said = "";
  function sayElsewhere(late) {
    const words = document.body.dataset.at === "checkin" ? "" : late ? `You were to be back by ${timeOf(out.backBy)}. ` : `Back by ${timeOf(out.backBy)}. `;
    if (words === said) return;
    said = words;
    const link = element("a", { href: "#checkin", textContent: late ? "I am back, or more time" : "Working alone" });
    banner("checkin", late ? "stop" : "", ...(words ? [words, link] : [null]));
  }

  async function begin(backBy) {
    listenToBeep();
    const record = {
      id: newId(),
      kind: "checkin",
      slug: ctx.slug,
      user: ctx.user() ?? null,
      state: "ready",
      startedAt: new Date().toISOString(),
      backBy: backBy.toISOString(),
      endedAt: null,
      plot: standsIn(),
      place: placeOf(ctx.position()),
      note: "",
      refused: null,
    };
    record.title = `Back by ${timeOf(record.backBy)}`;
    try {
      await keep(record);
    } catch (error) {
      banner("checkin-kept", "stop", notSaved(error, "Tell a person by when you are back."));
      return;
    }
    banner("checkin-kept", "", null);
    out = record;
    alarmedAt = 0;
    paint();
    part("head", at).focus({ preventScroll: true });
    ctx.outbox.send().then(look, look);
  }

  // What was said meanwhile may be under way; it is said again until it stands here as it was meant.
  async function change(changes) {
    const { id } = out;
    const stands = (record) => Object.entries(changes).every(([name, value]) => record[name] === value);
    for (let tries = 0; tries < TRIES; tries++) {
      await changeRecord(id, (record) => ({ ...record, ...changes, turn: (record.turn ?? 0) + 1, state: "ready", heardAt: null, isOnItsWay: false, refused: null }));
      if (!tries) await know();
      await ctx.outbox.send().catch(() => null);
      const now = await recordOf(id);
      if (!now || stands(now)) break;
    }
    look();
  }

  const look = () => know().catch(() => null);

  function alarm() {
    alarmedAt = Date.now();
    navigator.vibrate?.([400, 200, 400, 200, 800]);
    beep();
    const words = `You were to be back by ${timeOf(out.backBy)}.`;
    if (window.Notification?.permission === "granted") navigator.serviceWorker?.ready.then((worker) => worker.showNotification("Are you back?", { body: words, tag: "checkin" })).catch(() => null);
  }

  // A browser makes a sound only after a tap on the page.
  function listenToBeep() {
    sound ??= window.AudioContext ? new AudioContext() : null;
    sound?.resume().catch(() => null);
  }

  function beep() {
    if (sound?.state !== "running") return;
    for (const [from, pitch] of [[0, 880], [0.35, 660], [0.7, 880]]) {
      const tone = sound.createOscillator();
      tone.frequency.value = pitch;
      tone.connect(sound.destination);
      tone.start(sound.currentTime + from);
      tone.stop(sound.currentTime + from + 0.25);
    }
  }

  for (const button of at.querySelectorAll("[data-min]")) button.addEventListener("click", () => begin(new Date(Date.now() + Number(button.dataset.min) * MINUTE_MS)));
  part("until", at).addEventListener("submit", (event) => {
    event.preventDefault();
    const wrong = part("wrong", at);
    const backBy = momentOf(part("back-by", at).value);
    wrong.hidden = Boolean(backBy);
    if (backBy) {
      begin(backBy);
      return;
    }
    wrong.textContent = "No time is chosen; a time of the day is accepted, such as 15:30.";
    wrong.focus();
  });
  part("later", at).addEventListener("click", () => {
    listenToBeep();
    alarmedAt = 0;
    change({ backBy: new Date(Math.max(Date.parse(out.backBy), Date.now()) + MORE_MS).toISOString() });
  });
  part("back", at).addEventListener("click", () => change({ endedAt: new Date().toISOString() }));
  part("notify", at).addEventListener("click", () => Notification.requestPermission().then(paint));

  function openSafety() {
    const known = ctx.facts()?.safety ?? [];
    const place = part("cautions", screen("safety"));
    part("none", screen("safety")).hidden = known.length > 0;
    place.replaceChildren(...known.map((caution) => cautionFold(caution)));
    show("safety");
    look();
  }

  return {
    open(hash) {
      if (hash === "#safety") openSafety();
      else if (hash === "#checkin") {
        show("checkin");
        look();
      } else if (hash === "#heat") heat.open();
      else return false;
      return true;
    },
  };
}

// A caution as a line that opens.
export function cautionFold({ title, says, when }) {
  return element(
    "details",
    {},
    element("summary", {}, element("strong", { textContent: title })),
    element("p", { className: "help", textContent: `${when[0].toUpperCase()}${when.slice(1)}.` }),
    element("ul", {}, ...says.map((textContent) => element("li", { textContent }))),
  );
}

// The next moment at which a clock shows it; null without one.
export function momentOf(text, now = new Date()) {
  const [, hours, minutes] = /^(\d\d):(\d\d)/.exec(text) ?? [];
  if (hours === undefined) return null;
  const moment = new Date(now);
  moment.setHours(Number(hours), Number(minutes), 0, 0);
  if (moment <= now) moment.setDate(moment.getDate() + 1);
  return moment;
}

// '1:04:30', '9:05'.
export function clock(ms) {
  const s = Math.floor(ms / 1000);
  const two = (each) => String(each).padStart(2, "0");
  const [h, m] = [Math.floor(s / 3600), Math.floor(s / 60) % 60];
  return h ? `${h}:${two(m)}:${two(s % 60)}` : `${m}:${two(s % 60)}`;
}
