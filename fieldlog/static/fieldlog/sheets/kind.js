// What was planted, as the server takes it.

import { seasonPage } from "../offline/names.js";
import { age } from "../offline/words.js";

const given = (text) => text?.trim() || null;
const list = (text) => (text ?? "").split(/[\s,;]+/).filter(Boolean);

export const plantingKind = {
  address: ({ slug, id }) => `/api/v1/properties/${encodeURIComponent(slug)}/planting-records/${id}/`,
  body: ({ season, plot, form, seeds, user }) => ({
    season,
    plot_id: plot.id,
    recorded_by: user?.id ?? null,
    machine_id: given(form.machine_id),
    done_on: given(form.done_on),
    started_at: given(form.started_at),
    ended_at: given(form.ended_at),
    acres: given(form.acres),
    is_by_meter: Boolean(form.is_by_meter),
    operator: form.operator ?? "",
    hours_start: given(form.hours_start),
    hours_end: given(form.hours_end),
    settings: settingsOf(form),
    depth_in: given(form.depth_in),
    depths_checked_in: list(form.depths_checked_in),
    soil_temp_f: given(form.soil_temp_f),
    soil_temp_depth_in: given(form.soil_temp_depth_in),
    weather: form.weather ?? "",
    note: form.note ?? "",
    is_counted: Boolean(form.is_counted),
    ...seedsOf(form, seeds),
  }),
  answer: ({ acres, plot }) => ({ acres, plot }),
  title: ({ plot }) => plot.name,
  told: ({ form, startedAt }) => `${form.acres ? `${form.acres} ac, ` : ""}written down ${age(startedAt)}`,
  by: "Written down",
  cameTo: ({ answer: { acres } }) => `${Number(acres)} ac planted`,
  page: ({ slug, id }) => `/p/${encodeURIComponent(slug)}/planting-records/${id}/`,
  after: "Its pounds are taken from the lots. Put something right on its page there.",
  mend: (record) => `${seasonPage(record)}#record-${record.id}`,
};

// By the name that the page has for it.
function settingsOf(form) {
  const found = { main: given(form.setting_main), small: given(form.setting_small) };
  return Object.fromEntries(Object.entries(found).filter(([, setting]) => setting !== null));
}

// `form.seed` says how it is known: "left" in the boxes, "used" of each, or "unknown".
function seedsOf(form, seeds) {
  if (form.seed === "unknown") return { seeds: [] };
  const lines = seeds.map(({ lot_id, species_id, blend_id, box }, i) => {
    const pounds = form.seed === "used" ? { used_lb: given(form[`used_lb_${i}`]) } : { loaded_lb: given(form[`loaded_lb_${i}`]), box };
    return { lot_id, species_id, blend_id, ...pounds };
  });
  if (form.seed === "used") return { seeds: lines };
  const left = { main: given(form.left_main), small: given(form.left_small) };
  const boxes = new Set(seeds.map(({ box }) => box));
  return { seeds: lines, boxes_left_lb: Object.fromEntries(Object.entries(left).filter(([box, lb]) => boxes.has(box) && lb !== null)) };
}
