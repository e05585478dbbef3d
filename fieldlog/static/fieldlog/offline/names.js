// What each kind of record is called and the page it is made on: what a page knows that only tells of them.

import { counted } from "./words.js";

const ofProperty = ({ slug }) => `/p/${encodeURIComponent(slug)}`;

// The page of a season's sheets on a phone.
export const seasonPage = (record) => `${ofProperty(record)}/seasons/${encodeURIComponent(record.season)}/field/`;

const fieldPage = (record) => `${ofProperty(record)}/field/`;

export const NAMES = {
  walk: { one: "walk", many: "walks", page: (record) => `${ofProperty(record)}/walk/` },
  planting: { one: "planting record", many: "planting records", page: seasonPage },
  visit: { one: "visit", many: "visits", page: fieldPage },
  work: { one: "report of work", many: "reports of work", page: fieldPage },
  workitem: { one: "item of work", many: "items of work", page: fieldPage },
  checkin: { one: "check-in", many: "check-ins", page: fieldPage },
};

// What a record is about, as a page knows it that has no kinds.
export const titleOf = ({ title, plot, newName }) => title ?? plot?.name ?? newName ?? "";

const nameOf = (kind) => NAMES[kind] ?? { one: "record", many: "records" };

// '2 walks and 1 planting record'.
export function named(records) {
  const count = new Map();
  for (const { kind } of records) count.set(kind, (count.get(kind) ?? 0) + 1);
  return [...count].map(([kind, many]) => counted(many, nameOf(kind).one, nameOf(kind).many)).join(" and ");
}
