// Work that was done, work that was found, and being out alone, as the server takes them.

import { age, counted } from "../offline/words.js";

const of = ({ slug }) => `/api/v1/properties/${encodeURIComponent(slug)}`;
const page = ({ slug }) => `/p/${encodeURIComponent(slug)}`;
const placed = (place) => ({ lon: place?.lon ?? null, lat: place?.lat ?? null, accuracy_m: place?.accuracy_m ?? null });
const given = (value) => value ?? null;
const by = ({ user }) => ({ recorded_by: user?.id ?? null });

// '15:40', as the other times of the site.
export function timeOf(moment) {
  const at = new Date(moment);
  return `${at.getHours()}:${String(at.getMinutes()).padStart(2, "0")}`;
}

const photoOf = ({ id, sha256, taken_at, place, bearing_deg, caption }) => ({ id, sha256, taken_at, ...placed(place), bearing_deg: given(bearing_deg), caption: caption ?? "" });

// '25 min, 1 picture'.
export function spent({ minutes, isFinished, photos = [] }) {
  const parts = [minutes === null ? "" : `${minutes} min`, photos.length ? counted(photos.length, "picture", "pictures") : "", isFinished ? "" : "not finished"];
  return parts.filter(Boolean).join(", ");
}

export const workKind = {
  address: (record) => `${of(record)}/work-reports/${record.id}/`,
  body: (record) => ({
    item_id: record.item.id,
    done_at: record.doneAt,
    minutes: given(record.minutes),
    is_finished: record.isFinished,
    note: record.note,
    ...placed(record.place),
    photos: (record.photos ?? []).map(photoOf),
    ...by(record),
  }),
  answer: ({ item }) => ({ state: item?.state ?? null }),
  title: ({ item }) => item.title,
  told: (record) => [spent(record), `written down ${age(record.startedAt)}`].filter(Boolean).join(", "),
  by: "Written down",
  cameTo: (record) => (record.isFinished ? "done" : "worked on"),
  page: (record) => `${page(record)}/work/${record.item.id}/`,
  after: "Minutes count for the plot there.",
  mend: (record) => `${page(record)}/field/#work-report-${record.id}`,
};

export const workItemKind = {
  address: (record) => `${of(record)}/work/${record.id}/`,
  body: (record) => ({
    kind: record.work.kind,
    title: record.title,
    plot_id: record.plot?.id ?? null,
    how: record.work.how,
    tools: record.work.tools,
    due_on: record.work.due_on || null,
    assigned_to_id: record.work.isMine ? (record.user?.id ?? null) : null,
    ...placed(record.place),
    ...by(record),
  }),
  answer: ({ state }) => ({ state }),
  title: ({ title }) => title,
  told: ({ startedAt }) => `written down ${age(startedAt)}`,
  by: "Written down",
  cameTo: () => "on the work list",
  page: (record) => `${page(record)}/work/${record.id}/`,
  after: "It is on everybody's work list there.",
  mend: (record) => `${page(record)}/field/#work-new-${record.id}`,
};

export const checkinKind = {
  address: (record) => `${of(record)}/check-ins/${record.id}/`,
  body: (record) => ({
    began_at: record.startedAt,
    back_by: record.backBy,
    ended_at: given(record.endedAt),
    plot_id: record.plot?.id ?? null,
    note: record.note ?? "",
    ...placed(record.place),
    ...by(record),
  }),
  answer: ({ back_by, ended_at }) => ({ back_by, ended_at }),
  title: ({ backBy }) => `Back by ${timeOf(backBy)}`,
  told: ({ endedAt }) => (endedAt ? `and back at ${timeOf(endedAt)}` : "and not back yet"),
  by: "Said",
  cameTo: ({ endedAt }) => (endedAt ? `back at ${timeOf(endedAt)}` : "not back yet"),
  page: (record) => `${page(record)}/safety/`,
  after: "Who is out, and who is late, stands there.",
  mend: (record) => `${page(record)}/field/#checkin`,
};
