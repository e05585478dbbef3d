// One plot's sheet, as the server worked it out.

import { element, part, screen } from "../offline/screens.js";

const UNKNOWN = "not known";
const line = (textContent, className = "") => element("p", { className, textContent });
const row = (name, value, ...more) => element("div", {}, element("dt", { textContent: name }, ...more), element("dd", { className: "fig", textContent: value ?? UNKNOWN }));
const small = (textContent) => (textContent ? element("span", { className: "sheet-note", textContent }) : null);

export function showSheet(sheet, cautions) {
  const at = screen("sheet");
  part("title", at).textContent = sheet.plot.name;
  part("what", at).textContent = [sheet.blend, sheet.method.toLowerCase(), sheet.machine?.name, sheet.level].filter(Boolean).join(" · ");
  part("state", at).textContent = sheet.planted ? `Planted ${sheet.planted}` : "";
  part("state", at).hidden = !sheet.planted;
  part("acres", at).textContent = sheet.acres;
  part("lb", at).textContent = sheet.lb ?? UNKNOWN;
  part("rate", at).textContent = sheet.rate ?? UNKNOWN;
  part("stops", at).replaceChildren(...sheet.restrictions.map((each) => line(each, "note stop")));
  part("gaps", at).replaceChildren(...(sheet.gaps.length ? [gapsOf(sheet.gaps)] : []));
  part("boxes", at).replaceChildren(...sheet.boxes.map(boxOf));
  part("ground", at).replaceChildren(...groundOf(sheet));
  part("cautions", at).replaceChildren(...sheet.cautions.map((number) => cautionOf(cautions[number])));
  part("fill", at).hidden = !sheet.boxes.some(({ fills }) => fills?.length);
}

function gapsOf(gaps) {
  return element("ul", { className: "note warn" }, ...gaps.map((textContent) => element("li", { textContent })));
}

function boxOf(box) {
  const seeds = box.seeds.map(({ name, lot, lb, rate, note }) => row(name, lb, small([lot && `lot ${lot}`, rate, note].filter(Boolean).join(", "))));
  return element(
    "section",
    {},
    element("h2", { textContent: box.label }),
    element("dl", { className: "sheet-rows" }, ...seeds, ...(box.seeds.length > 1 ? [row("All together", box.lb, small(box.rate))] : [])),
    element("dl", { className: "sheet-rows" }, ...box.settings.map(({ label, setting, told }) => row(label === "Last time" ? "Setting last time" : "Setting for this rate", setting, small(told))), ...catchOf(box.catch)),
    fillsTold(box),
  );
}

function catchOf(found) {
  if (!found) return [];
  const course = found.course ? `over ${found.course}` : "";
  return [...(found.row ? [row("Catch of one row", found.row, small(course))] : []), row("Catch of the whole width", found.whole, small(course))];
}

function fillsTold({ full, fills, fills_unknown }) {
  if (!fills) return line(fills_unknown, "help");
  const last = fills.at(-1);
  if (!last) return line("Nothing to fill.");
  const part = last.is_part ? last.lb : "";
  const told = last.last === 1 ? `1 fill of ${last.lb}` : `${last.last} fills${part ? `, the last of ${part}` : ""}`;
  return line(`${told}; a full box holds ${full}.`);
}

function groundOf({ depths, depth_unknown, soil, inoculants }) {
  const rows = depths.map(({ depth, species }) => row("Depth", depth, small(depths.length > 1 ? species.join(", ") : "")));
  if (depth_unknown.length) rows.push(row("Depth", null, small(depth_unknown.join(", "))));
  if (soil) rows.push(row("Soil", soil.from, small(`for ${soil.species.join(", ")}`)));
  for (const { group, seed, lb, lot, trouble } of inoculants) rows.push(row(`Inoculant: ${group}`, lb ? `for ${lb}` : null, small([seed, lot].filter(Boolean).join(". ")), trouble ? element("span", { className: "tag warn", textContent: trouble }) : ""));
  return rows;
}

function cautionOf({ label, sentence, source }) {
  return element("li", {}, element("strong", { textContent: `${label}. ` }), sentence, small(source));
}
