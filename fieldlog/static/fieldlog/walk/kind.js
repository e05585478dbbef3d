// A walk as the server takes it, and as a file.

import { acresWithin } from "../../plots/units.js";
import { age, counted } from "../offline/words.js";

const NAMESPACE = "urn:swardbook:walk";

export const titleOf = (record) => record.plot?.name ?? (record.newName || "A new plot");
export const told = (record) => `${counted(record.count, "point", "points")}, begun ${age(record.startedAt)}`;

export const walkKind = {
  address: ({ slug, id }) => `/api/v1/properties/${encodeURIComponent(slug)}/walks/${id}/`,
  body: (record, fixes) => ({
    plot_id: record.plot?.id ?? null,
    new_name: record.plot ? "" : record.newName,
    fixes,
    worst_accuracy_m: record.worst_m,
    tolerance_m: record.tolerance_m,
    started_at: record.startedAt,
    note: record.note,
    recorded_by: record.user?.id ?? null,
  }),
  answer: ({ comes_to, refused }) => ({ acres: comes_to?.acres ?? null, margin: comes_to?.margin_acres ?? null, refused }),
  title: titleOf,
  told,
  by: "Walked",
  cameTo: ({ answer: { acres, margin, refused } }) => (acres === null ? refused : acresWithin(acres, margin)),
  page: ({ slug, id }) => `/p/${encodeURIComponent(slug)}/walks/${id}/`,
  after: "Each walk waits there for somebody who may change plots to make it the boundary.",
  files: [{ text: "Save as GPX", type: "application/gpx+xml", ending: "gpx", write: asGpx }],
};

// GPX 1.1: a track a walk, a segment a stretch, the accuracy beside each point.
function asGpx(walks) {
  const xml = document.implementation.createDocument("http://www.topografix.com/GPX/1/1", "gpx");
  const within = (parent, name, text) => {
    const element = xml.createElementNS(xml.documentElement.namespaceURI, name);
    if (text !== undefined) element.textContent = text;
    return parent.appendChild(element);
  };
  xml.documentElement.setAttribute("version", "1.1");
  xml.documentElement.setAttribute("creator", "Swardbook");
  for (const { record, entries } of walks) {
    const track = within(xml.documentElement, "trk");
    within(track, "name", titleOf(record));
    let segment, stretch;
    for (const [lon, lat, accuracy_m, at_ms, part] of entries) {
      if (part !== stretch) [segment, stretch] = [within(track, "trkseg"), part];
      const point = within(segment, "trkpt");
      point.setAttribute("lat", lat);
      point.setAttribute("lon", lon);
      within(point, "time", new Date(Date.parse(record.startedAt) + at_ms).toISOString());
      const accuracy = xml.createElementNS(NAMESPACE, "walk:accuracy_m");
      accuracy.textContent = accuracy_m;
      within(point, "extensions").append(accuracy);
    }
  }
  return `<?xml version="1.0" encoding="UTF-8"?>\n${new XMLSerializer().serializeToString(xml)}\n`;
}
