// Something that needs doing, written down where it was seen.

import { newId } from "../offline/ids.js";
import { part, screen, show } from "../offline/screens.js";
import { keep, recordOf } from "../offline/store.js";
import { contains } from "./ground.js";
import { placeOf } from "./where.js";

const DAY_MS = 86_400_000;

export function newWorkScreen(ctx) {
  const at = screen("work-new");
  const form = part("form", at);
  let editing = null; // a record that the server did not take
  let days = null; // from today; null is no day

  const kindBox = () => form.querySelector("[name=work-kind]:checked");

  async function open(id) {
    const stored = id ? await recordOf(id) : null;
    editing = stored?.state === "ready" ? await ctx.outbox.takeBack(id) : stored?.state === "open" ? stored : null;
    fillPlots();
    if (editing) fill(editing);
    else empty();
    sayHere();
    show("work-new");
  }

  function fillPlots() {
    const plots = ctx.facts()?.plots.features ?? [];
    const options = plots.map(({ id, properties }) => new Option(properties.name, String(id)));
    part("plot", at).replaceChildren(new Option("The whole property", ""), ...options);
  }

  function empty() {
    form.reset();
    setDays(null);
    say("");
    const here = ctx.position();
    const plot = here && ctx.facts()?.plots.features.find(({ geometry }) => contains(geometry, [here.lon, here.lat]));
    part("plot", at).value = plot ? String(plot.id) : "";
  }

  function fill({ work, plot, place, refused, title }) {
    const box = form.querySelector(`[name=work-kind][value="${work.kind}"]`);
    if (box) box.checked = true;
    part("title", at).value = title;
    part("plot", at).value = plot ? String(plot.id) : "";
    part("here", at).checked = Boolean(place);
    part("mine", at).checked = work.isMine;
    part("how", at).value = work.how;
    part("tools", at).value = work.tools;
    setDays(work.due_on ? Math.round((new Date(`${work.due_on}T12:00`) - noon()) / DAY_MS) : null);
    say(refused ? `Not taken: ${refused.sentence}` : "");
  }

  const noon = () => new Date(new Date().setHours(12, 0, 0, 0));

  function setDays(now) {
    days = now;
    for (const button of part("when", at).querySelectorAll("[data-days]")) button.setAttribute("aria-pressed", String(button.dataset.days === (now === null ? "" : String(now))));
  }

  function sayHere() {
    const here = ctx.position();
    part("here", at).disabled = !here && !editing?.place;
    if (!here && !editing?.place) part("here", at).checked = false;
    part("here-told", at).textContent = here || editing?.place ? "Pin it where I stand" : "No pin: the phone does not say where you are";
    part("title-need", at).hidden = kindBox()?.value === "other";
  }

  const say = (sentence) => (part("wrong", at).textContent = sentence);

  function dueOn() {
    if (days === null) return null;
    const due = new Date(noon().getTime() + days * DAY_MS);
    return [due.getFullYear(), due.getMonth() + 1, due.getDate()].map((each) => String(each).padStart(2, "0")).join("-");
  }

  function recordNow() {
    const plotId = part("plot", at).value;
    const plot = ctx.facts()?.plots.features.find(({ id }) => String(id) === plotId);
    const isPinned = part("here", at).checked;
    return {
      id: editing?.id ?? newId(),
      kind: "workitem",
      slug: ctx.slug,
      user: editing?.user ?? ctx.user() ?? null,
      state: "ready",
      startedAt: editing?.startedAt ?? new Date().toISOString(),
      title: part("title", at).value.trim() || kindBox().dataset.name,
      work: { kind: kindBox().value, how: part("how", at).value.trim(), tools: part("tools", at).value.trim(), due_on: dueOn(), isMine: part("mine", at).checked },
      plot: plot ? { id: plot.id, name: plot.properties.name } : null,
      place: isPinned ? (editing?.place ?? placeOf(ctx.position())) : null,
      refused: null,
    };
  }

  form.addEventListener("change", sayHere);
  for (const button of part("when", at).querySelectorAll("[data-days]")) button.addEventListener("click", () => setDays(button.dataset.days === "" ? null : Number(button.dataset.days)));
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    const isNamed = kindBox() && (kindBox().value !== "other" || part("title", at).value.trim());
    say(isNamed ? "" : kindBox() ? "Something else has no words; a few are accepted, such as Fix the gate." : "Nothing is chosen; choose what needs doing.");
    if (!isNamed) {
      part("wrong", at).focus();
      return;
    }
    try {
      await keep(recordNow());
    } catch (error) {
      say(`NOT SAVED: this phone did not keep it (${error.message}). Make room on it and save again.`);
      return;
    }
    editing = null;
    ctx.go("work");
    ctx.outbox.send();
  });

  return { open };
}
