// A visit as the server takes it.

import { age, counted } from "../offline/words.js";

const placed = (place) => ({ lon: place?.lon ?? null, lat: place?.lat ?? null, accuracy_m: place?.accuracy_m ?? null });

// Whether anybody answered anything: what was only looked at is not sent.
export const isAnswered = ({ values, note, isPinned }) => Object.keys(values).length > 0 || Boolean(note) || Boolean(isPinned);
export const answered = (record) => (record.readings ?? []).filter(isAnswered);
export const isEmpty = (record) => !answered(record).length && !record.note && !record.photos.length;

export const visitKind = {
  address: ({ slug, id }) => `/api/v1/properties/${encodeURIComponent(slug)}/visits/${id}/`,
  body: (record) => ({
    plot_id: record.plot.id,
    visited_at: record.visitedAt,
    note: record.note,
    ...placed(record.place),
    recorded_by: record.user?.id ?? null,
    readings: answered(record).map(readingOf),
    photos: record.photos.map(photoOf),
  }),
  answer: ({ readings, photos }) => ({ readings: readings?.length ?? 0, photos: photos?.length ?? 0 }),
  title: ({ plot }) => plot.name,
  told: (record) => `${held(answered(record).length, record.photos.length, record.note)}, begun ${age(record.startedAt)}`,
  by: "Recorded",
  cameTo: ({ answer, note }) => held(answer?.readings ?? 0, answer?.photos ?? 0, note),
  page: ({ slug, id }) => `/p/${encodeURIComponent(slug)}/visits/${id}/`,
  after: "Put something right on the visit's page there.",
  batch: {
    address: ({ slug }) => `/api/v1/properties/${encodeURIComponent(slug)}/visits/batch/`,
    most: 100,
    wrap: (visits, { user }) => ({ recorded_by: user?.id ?? null, visits }),
  },
  mend: ({ slug, id }) => `/p/${encodeURIComponent(slug)}/field/#mend-${id}`,
};

// '3 readings, 2 pictures'.
export function held(readings, photos, note) {
  const parts = [readings && counted(readings, "reading", "readings"), photos && counted(photos, "picture", "pictures"), note && "a note"];
  return parts.filter(Boolean).join(", ") || "nothing noted";
}

function readingOf({ id, kind, protocol, settings, values, sure_of, taken_at, place, note }) {
  return { id, kind, protocol, settings, values, sure_of, taken_at, ...placed(place), note: note ?? "" };
}

function photoOf({ id, sha256, taken_at, place, bearing_deg, caption, reading_id, point_id }) {
  return { id, sha256, taken_at, ...placed(place), bearing_deg: bearing_deg ?? null, caption: caption ?? "", reading_id: reading_id ?? null, point_id: point_id ?? null };
}
