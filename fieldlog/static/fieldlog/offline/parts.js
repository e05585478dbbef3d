// A record in parts: readings and pictures, of which the server may refuse one and keep the rest.

const PARTS = ["readings", "photos"];

const marked = (parts, refused) =>
  parts?.map((part) => {
    const { id: _, what: __, ...why } = refused.get(part.id) ?? {};
    return refused.has(part.id) ? { ...part, state: "refused", refused: why } : { ...part, state: "sent", refused: null };
  });

// The record after the server answered: each part is marked with what became of it. `refused` is
// [{ id, what, code, sentence, fields }].
export function heard(record, refused) {
  const byId = new Map(refused.map((each) => [each.id, each]));
  const after = { ...record };
  for (const name of PARTS) if (record[name]) after[name] = marked(record[name], byId);
  for (const photo of after.photos ?? []) if (photo.state === "sent") photo.state = "named"; // its bytes are still to come
  return after;
}

// [{ part, name }] of those that the server did not take.
export const refusedParts = (record) =>
  PARTS.flatMap((name) => (record[name] ?? []).filter(({ state }) => state === "refused").map((part) => ({ name, part })));

export function without(record, id) {
  const after = { ...record };
  for (const name of PARTS) if (record[name]) after[name] = record[name].filter((part) => part.id !== id);
  return after;
}

// '1 of 4 readings was not taken.', or null.
export function partlyRefused(record) {
  const refused = refusedParts(record);
  if (!refused.length) return null;
  const sentences = PARTS.flatMap((name) => {
    const count = refused.filter((each) => each.name === name).length;
    const noun = name === "photos" ? "picture" : "reading";
    const all = record[name]?.length;
    return count ? [`${count} of ${all} ${noun}${all === 1 ? "" : "s"} ${count === 1 ? "was" : "were"} not taken`] : [];
  });
  return { code: "partly", sentence: `${sentences.join(", ")}; the rest is with the server.`, fields: {} };
}
