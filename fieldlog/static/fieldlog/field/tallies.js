// Many answers to one question: points along a line, rows of counts, a species out of those that were sown.

import { element } from "../offline/screens.js";
import { rowTold, pointsOf, numberIn } from "./checks.js";
import { drawing } from "./drawings.js";
import { button, keypad } from "./keypad.js";

const NAMED = [{ value: "1", label: "Yes" }, { value: "0", label: "No" }];
const MOST_ROWS = 60;
const NEAR = 10; // names to tap

// Taps on two large buttons, a point each, a line after the other.
export function askPoints(step, at) {
  const most = step.most ?? 100;
  let lines = [...(at.value ?? [])];
  const named = step.choices ?? NAMED;
  const progress = element("p", { className: "field-progress", role: "status" });
  const bar = element("progress", { max: most, className: "field-bar" });
  bar.setAttribute("aria-label", "Points of this line");
  const set = (now) => {
    lines = now;
    at.set(lines.some(Boolean) ? lines.filter(Boolean) : null);
    paint();
  };
  const isFull = () => (lines.at(-1)?.length ?? 0) >= most;
  const tap = (mark) => {
    if (isFull()) return;
    navigator.vibrate?.(10);
    const line = lines.at(-1) ?? "";
    set([...lines.slice(0, -1), line + mark]);
  };
  const pair = named.map(({ value, label }) => button(label, () => tap(value), value === "1" ? "field-tap is-hit" : "field-tap"));
  const undo = button("Undo", () => set(lines.at(-1) ? [...lines.slice(0, -1), lines.at(-1).slice(0, -1)] : lines.slice(0, -1)), "quiet");
  const another = button("Another line", () => {
    lines = [...lines, ""];
    paint();
  });
  const paint = () => {
    const now = lines.at(-1)?.length ?? 0;
    const { of, share } = pointsOf(lines);
    bar.value = now;
    progress.textContent = `${lines.length > 1 ? `Line ${lines.length}: ` : ""}${now} of ${most}${of ? ` · ${Math.round(100 * share)} % ${named[0].label.toLowerCase()}${lines.length > 1 ? " in all" : ""}` : ""}`;
    for (const each of pair) each.disabled = isFull();
    undo.hidden = !of;
    another.hidden = !isFull() || lines.length >= MOST_ROWS;
  };
  paint();
  return element("div", {}, progress, bar, element("div", { className: "field-taps" }, ...pair), element("div", { className: "acts" }, another, undo));
}

// Several answers of the same columns: one row open at a time, the others a line each.
export function askRows(step, at) {
  let rows = (at.value ?? []).map((row) => ({ ...row }));
  let open = rows.length ? -1 : 0;
  if (!rows.length) rows = [{}];
  const made = element("div", { className: "field-rows" });
  const hasAnswer = (row) => Object.keys(row).some((name) => name !== "place"); // which goes along by itself
  const say = () => {
    const kept = rows.filter(hasAnswer);
    at.set(kept.length ? kept.map((row) => ({ ...row })) : null);
  };
  const openRow = (row) => {
    rows = rows.filter((each) => each === row || hasAnswer(each));
    open = rows.indexOf(row);
    paint();
  };
  const add = () => {
    rows = rows.filter(hasAnswer);
    const place = rows.at(-1)?.place;
    rows.push(place === undefined ? {} : { place });
    open = rows.length - 1;
    paint();
    made.querySelector(".field-row.is-open button")?.focus();
  };
  const paint = () => {
    const shown = rows.map((row, i) => (i === open ? openOf(row, i) : lineOf(row, i)));
    const adding = button(`Add ${rows.length ? "another" : "one"}`, add);
    adding.disabled = rows.length >= MOST_ROWS;
    made.replaceChildren(...shown, element("div", { className: "acts" }, adding));
  };
  const lineOf = (row, i) => element("div", { className: "field-row" }, element("span", { textContent: `${i + 1}. ${rowTold(step, row)}` }), button("Change", () => openRow(row), "quiet"));
  const openOf = (row, i) => {
    const set = (name, value) => {
      if (value === null) delete row[name];
      else row[name] = value;
      say();
    };
    const remove = button("Take this one out", () => {
      rows = rows.filter((_, n) => n !== i);
      open = -1;
      say();
      paint();
    }, "quiet");
    const done = button("Done with this one", () => {
      open = -1;
      rows = rows.filter(hasAnswer);
      paint();
    });
    const group = element("div", { className: "field-row is-open", role: "group" }, ...columnsOf(step, row, set, at), element("div", { className: "acts" }, done, remove));
    group.setAttribute("aria-label", `Number ${i + 1}`);
    return group;
  };
  paint();
  return made;
}

// The columns of the row that is open. Numbers share one keypad: the one that was tapped has it.
function columnsOf(step, row, set, at) {
  const numbers = element("div", { className: "field-row-pad" });
  const takers = [];
  const take = (column, paint) => {
    const pad = keypad(column, row[column.name] ?? null, (text) => {
      set(column.name, numberIn(text));
      paint();
    });
    numbers.replaceChildren(element("p", { className: "label", textContent: column.label }), pad.element);
    numbers.scrollIntoView({ block: "nearest" });
    for (const each of takers) each.setAttribute("aria-pressed", String(each.dataset.name === column.name));
  };
  return step.columns.map((column) => {
    const ask = { value: row[column.name] ?? null, set: (value) => set(column.name, value), sown: at.sown, others: at.others };
    if (column.ask === "number") return numberColumn(column, row, set, take, takers);
    const asked = { species: askSpecies, choice: askChips, flag: askYesNo, text: askLine }[column.ask](column, ask);
    return element("div", { className: "field-column" }, element("p", { className: "label", textContent: column.label }), column.help ? element("p", { className: "help", textContent: column.help }) : null, asked);
  }).concat(takers.length ? [numbers] : []);
}

function numberColumn(column, row, set, take, takers) {
  const value = element("button", { type: "button", className: "field-value fig" });
  value.dataset.name = column.name;
  value.setAttribute("aria-pressed", "false");
  const paint = () => {
    const said = row[column.name];
    value.textContent = said === undefined ? "–" : `${said}`;
    value.setAttribute("aria-label", `${column.label}: ${said ?? "not known"}${column.unit ? ` ${column.unit}` : ""}; type it`);
  };
  const step = (by) => {
    navigator.vibrate?.(10);
    const now = Math.max(column.least ?? 0, (row[column.name] ?? 0) + by);
    set(column.name, column.most === undefined ? now : Math.min(column.most, now));
    paint();
  };
  value.addEventListener("click", () => take(column, paint));
  takers.push(value);
  const counting = (label, by) => {
    const made = button(label, () => step(by), by > 0 ? "field-plus" : "");
    made.setAttribute("aria-label", `${column.label}: ${by > 0 ? "one more" : "one less"}`);
    return made;
  };
  paint();
  const tools = column.is_whole ? [counting("−1", -1), value, counting("+1", 1)] : [value];
  return element("div", { className: "field-column field-number-column" }, element("p", { className: "label", textContent: column.unit ? `${column.label}, ${column.unit}` : column.label }), element("div", { className: "field-tally" }, ...tools));
}

// Small choices side by side.
export function askChips(step, at) {
  const group = element("div", { className: "field-chips", role: "group" });
  group.setAttribute("aria-label", step.label);
  const paint = (value) => {
    for (const each of group.children) each.setAttribute("aria-pressed", String(each.dataset.value === value));
  };
  for (const { value, label, picture } of step.choices) {
    const made = button("", () => {
      const now = made.getAttribute("aria-pressed") === "true" ? null : value;
      at.set(now);
      paint(now);
    });
    made.dataset.value = value;
    made.append(...[drawing(picture, "field-chip-drawing"), label].filter(Boolean));
    group.append(made);
  }
  paint(at.value);
  return group;
}

function askYesNo(step, at) {
  const said = at.value === null ? null : at.value ? "yes" : "no";
  return askChips({ ...step, choices: [{ value: "yes", label: "Yes" }, { value: "no", label: "No" }] }, { value: said, set: (now) => at.set(now === null ? null : now === "yes") });
}

function askLine(step, at) {
  const input = element("input", { type: "text", maxLength: step.longest ?? 300, value: at.value ?? "", autocomplete: "off" });
  input.setAttribute("aria-label", step.label);
  input.addEventListener("input", () => at.set(input.value || null));
  return input;
}

// What was sown, then other names that are known here, or any name.
export function askSpecies(step, at) {
  const known = [...at.sown.map(({ id, name }) => ({ id, name })), ...at.others.map((name) => ({ id: null, name }))];
  const near = known.slice(0, Math.max(at.sown.length, NEAR));
  const choices = near.map(({ name }) => ({ value: name, label: name }));
  const isListed = at.value && near.some(({ name }) => name === at.value.name);
  const name = element("input", { type: "text", maxLength: 80, value: at.value && !isListed ? at.value.name : "", autocomplete: "off" });
  const idOf = (text) => known.find((each) => each.name.toLowerCase() === text.toLowerCase())?.id ?? null;
  const chips = choices.length ? askChips({ ...step, choices }, { value: at.value?.name ?? null, set: (value) => {
    name.value = "";
    at.set(value === null ? null : { id: idOf(value), name: value });
  } }) : null;
  const list = element("datalist", { id: `names-${++lists}` }, ...known.map((each) => element("option", { value: each.name })));
  name.setAttribute("list", list.id);
  name.addEventListener("input", () => {
    const text = name.value.trim();
    for (const each of chips?.children ?? []) each.setAttribute("aria-pressed", "false");
    at.set(text ? { id: idOf(text), name: text } : null);
  });
  return element("div", {}, chips, element("label", { className: "field-other" }, choices.length ? "Another" : "Its name", name, list));
}
let lists = 0;
