// Which plot's edge it is: from what this device knows of the property, without signal too.

import { acresText } from "../../plots/units.js";
import { element, part, screen } from "../offline/screens.js";

const MOST_SHOWN = 40;
const FIND_FROM = 9;

// `chosen({ plot, newName })` hears the answer.
export function watchChoice(chosen) {
  const form = part("choose", screen("choose"));
  const [list, find, name] = [part("plots", form), part("find", form), part("new-name", form)];
  const wrong = part("wrong", form);
  let plots = [];

  const chosenValue = () => form.querySelector("[name=plot]:checked")?.value ?? "";
  const shown = () => {
    const words = find.value.trim().toLowerCase();
    const fit = plots.filter((plot) => plot.properties.name.toLowerCase().includes(words));
    const before = chosenValue();
    list.replaceChildren(...fit.slice(0, MOST_SHOWN).map(choiceOf));
    if (fit.length > MOST_SHOWN) list.append(element("p", { className: "help", textContent: `${fit.length - MOST_SHOWN} more; type part of the name to find one.` }));
    if (before) tick(before);
  };
  const tick = (value) => {
    const box = [...form.querySelectorAll("[name=plot]")].find((each) => each.value === value);
    if (box) box.checked = true;
    part("new", form).hidden = chosenValue() !== "new";
  };
  find.addEventListener("input", shown);
  form.addEventListener("change", () => tick(chosenValue()));
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const value = chosenValue();
    wrong.hidden = Boolean(value);
    if (!value) {
      wrong.textContent = "No plot is chosen; choose one, or a new plot.";
      wrong.focus();
      return;
    }
    const plot = plots.find(({ id }) => String(id) === value);
    chosen({ plot: plot ? { id: plot.id, name: plot.properties.name } : null, newName: plot ? "" : name.value.trim() });
  });

  return {
    // `ground` is null where this device knows nothing of the property.
    know(ground) {
      plots = ground?.plots.features ?? [];
      part("find-field", form).hidden = plots.length < FIND_FROM;
      part("unknown", form).hidden = ground !== null;
      shown();
      if (!plots.length) tick("new");
    },
    tick,
  };
}

function choiceOf({ id, properties }) {
  const box = element("input", { type: "radio", name: "plot", value: String(id) });
  const facts = element("span", { className: "muted fig", textContent: properties.acres === null ? "" : acresText(properties.acres) });
  return element("label", { className: "hand-choice" }, box, element("span", { textContent: properties.name }), facts);
}
