// Something that needs doing, written down where it was seen and kept on the phone from the first tap.

import { Draft } from "../offline/draft.js";
import { newId } from "../offline/ids.js";
import { notSaved } from "../offline/room.js";
import { banner, part, screen, show, sureButton } from "../offline/screens.js";
import { allRecords, discard, recordOf } from "../offline/store.js";
import { contains } from "./ground.js";
import { placeOf } from "./where.js";

const DAY_MS = 86_400_000;

export function newWorkScreen(ctx) {
  const at = screen("work-new");
  const form = part("form", at);
  const draft = new Draft((error) => banner("work-kept", "stop", error && notSaved(error)));
  let pinned = null; // where an earlier time put it
  let days = null; // from today; null is no day
  part("discard", at).append(sureButton("Throw away", "Throw this away for good?", throwAway));

  const kindBox = () => form.querySelector("[name=work-kind]:checked");

  async function open(id) {
    const before = await begun(id);
    const isHere = before && (await draft.take(before));
    if (!isHere) await draft.take(nothingYet());
    pinned = draft.record.place;
    fillPlots();
    if (isHere) fill(draft.record);
    else empty();
    part("discard", at).hidden = !isHere;
    sayHere();
    show("work-new");
  }

  // What was not taken by the server, or was begun here and not saved.
  async function begun(id) {
    if (!id) return (await allRecords()).find((each) => each.kind === "workitem" && each.state === "open" && each.slug === ctx.slug && isMine(each));
    const stored = await recordOf(id);
    return stored?.state === "ready" ? ctx.outbox.takeBack(id) : stored?.state === "open" ? stored : null;
  }

  const isMine = ({ user }) => !user || !ctx.user() || user.id === ctx.user().id;

  const nothingYet = () => ({ id: newId(), kind: "workitem", slug: ctx.slug, user: ctx.user() ?? null, state: "open", startedAt: new Date().toISOString(), title: "", place: null, refused: null });

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

  function fill({ work, plot, place, refused }) {
    form.reset();
    const box = form.querySelector(`[name=work-kind][value="${work.kind}"]`);
    if (box) box.checked = true;
    part("title", at).value = work.named;
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
    part("here", at).disabled = !here && !pinned;
    if (!here && !pinned) part("here", at).checked = false;
    part("here-told", at).textContent = here || pinned ? "Pin it where I stand" : "No pin: the phone does not say where you are";
    part("title-need", at).hidden = kindBox()?.value === "other";
  }

  const say = (sentence) => (part("wrong", at).textContent = sentence);

  function dueOn() {
    if (days === null) return null;
    const due = new Date(noon().getTime() + days * DAY_MS);
    return [due.getFullYear(), due.getMonth() + 1, due.getDate()].map((each) => String(each).padStart(2, "0")).join("-");
  }

  // What the form says now.
  function said() {
    const plotId = part("plot", at).value;
    const plot = ctx.facts()?.plots.features.find(({ id }) => String(id) === plotId);
    const named = part("title", at).value.trim();
    return {
      title: named || (kindBox()?.dataset.name ?? ""),
      work: { kind: kindBox()?.value ?? null, named, how: part("how", at).value.trim(), tools: part("tools", at).value.trim(), due_on: dueOn(), isMine: part("mine", at).checked },
      plot: plot ? { id: plot.id, name: plot.properties.name } : null,
      place: part("here", at).checked ? (pinned ?? placeOf(ctx.position())) : null,
    };
  }

  async function throwAway() {
    const { id } = draft.record;
    await draft.letGo();
    await discard(id);
    ctx.go("work");
  }

  const changed = () => draft.change(said());

  form.addEventListener("input", changed);
  form.addEventListener("change", sayHere);
  for (const button of part("when", at).querySelectorAll("[data-days]")) {
    button.addEventListener("click", () => {
      setDays(button.dataset.days === "" ? null : Number(button.dataset.days));
      changed();
    });
  }
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    const isNamed = kindBox() && (kindBox().value !== "other" || part("title", at).value.trim());
    say(isNamed ? "" : kindBox() ? "Something else has no words; a few are accepted, such as Fix the gate." : "Nothing is chosen; choose what needs doing.");
    if (!isNamed) {
      part("wrong", at).focus();
      return;
    }
    if (!(await draft.finish(said()))) return;
    ctx.go("work");
    ctx.outbox.send();
  });

  return { open };
}
