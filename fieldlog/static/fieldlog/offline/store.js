// What this device keeps while there is no signal: records with their entries, and what is known of each property.
//
// A record is { id, kind, slug, user: { id, name } | null, state, … }. Its state is "open" while it is being made,
// "ready" to be sent, or "sent", when only what the server answered is left of it. Entries are what a record grows by,
// one row each, so that a page that is killed loses nothing. `ground` has facts by their name, which is a property's slug
// or begins with it (its key is called `slug`, from when there was nothing else); it is private and goes at sign-out.
// `photos` has the bytes of pictures, { id, record, slug, sha256, type, size, bytes: ArrayBuffer }, whose facts stand in
// `record.photos`; they go when the server has said their hash back.

const NAME = "swardbook-field";
const VERSION = 2;
// By what a picture is told apart and sent, so that a list of them never loads their bytes.
const FACTS = ["record", "slug", "sha256", "type", "size"];

let opened;

function open() {
  // A page of an earlier release may meet a later store, which has all that it knows.
  opened ??= openAs(VERSION).catch((error) => (error.name === "VersionError" ? openAs() : Promise.reject(error)));
  opened.catch(() => (opened = undefined)); // the next time it may open
  return opened;
}

function openAs(version) {
  return new Promise((done, failed) => {
    const asked = indexedDB.open(NAME, version);
    asked.onupgradeneeded = ({ oldVersion }) => upgrade(asked.result, oldVersion);
    asked.onsuccess = () => {
      const db = asked.result;
      db.onversionchange = () => {
        db.close();
        opened = undefined;
      };
      db.onclose = () => (opened = undefined);
      done(db);
    };
    asked.onerror = () => failed(asked.error);
    asked.onblocked = () => failed(new Error("another tab keeps this device's store from being opened"));
  });
}

// Each step adds, so that what waits stays.
function upgrade(db, from) {
  if (from < 1) {
    db.createObjectStore("records", { keyPath: "id" });
    db.createObjectStore("entries", { keyPath: ["record", "n"] });
    db.createObjectStore("ground", { keyPath: "slug" });
  }
  if (from < 2) db.createObjectStore("photos", { keyPath: "id" }).createIndex("facts", FACTS);
}

// Runs `act` on the stores in one transaction. Its outcome counts only when the transaction is on disk, or with "relaxed"
// in the hands of the operating system, which outlives the browser.
async function within(names, mode, act, durability = "strict") {
  const db = await open();
  return new Promise((done, failed) => {
    const transaction = db.transaction(names, mode, { durability });
    const stores = names.map((name) => transaction.objectStore(name));
    const asked = act(...stores);
    transaction.oncomplete = () => done(asked?.result);
    transaction.onabort = () => failed(transaction.error ?? new Error("the device did not keep it"));
  });
}

const entriesOf = (id) => IDBKeyRange.bound([id, -Infinity], [id, Infinity]);

export const keep = (record) => within(["records"], "readwrite", (records) => records.put(record));
export const keepAll = (all) => within(["records"], "readwrite", (records) => all.forEach((each) => records.put(each)));
// As quick as typing.
export const keepTyped = (record) => within(["records"], "readwrite", (records) => records.put(record), "relaxed");
export const recordOf = (id) => within(["records"], "readonly", (records) => records.get(id));
export const allRecords = () => within(["records"], "readonly", (records) => records.getAll());
export const countEntries = (id) => within(["entries"], "readonly", (rows) => rows.count(entriesOf(id)));

const put = (rows, record, from, values) => values.forEach((value, i) => rows.put({ record, n: from + i + 1, value }));

// Entries come in their order: `from` is how many are there.
export const addEntries = (record, from, values) => within(["entries"], "readwrite", (rows) => put(rows, record, from, values));

// The record, with those of its entries that the device did not keep when they came.
export function keepWhole(record, values) {
  return within(["records", "entries"], "readwrite", (records, rows) => {
    records.put(record);
    rows.count(entriesOf(record.id)).onsuccess = ({ target: { result: from } }) => put(rows, record.id, from, values.slice(from));
  });
}

export async function entries(id) {
  const rows = await within(["entries"], "readonly", (each) => each.getAll(entriesOf(id)));
  return rows.map(({ value }) => value);
}

// The record and all that it grew by.
export function discard(id) {
  return within(["records", "entries", "photos"], "readwrite", (records, rows, photos) => {
    records.delete(id);
    rows.delete(entriesOf(id));
    walkThrough(photos.index("facts").openKeyCursor(photosWithin(id)), ({ primaryKey }) => photos.delete(primaryKey));
  });
}

// Only what the server answered is kept.
export function keepAnswer(record) {
  return within(["records", "entries"], "readwrite", (records, rows) => {
    records.put(record);
    rows.delete(entriesOf(record.id));
  });
}

const photosWithin = (record) => IDBKeyRange.bound([record], [record, []]); // an array comes after every text

function walkThrough(asked, act) {
  asked.onsuccess = () => {
    if (!asked.result) return;
    act(asked.result);
    asked.result.continue();
  };
}

// The record that names the picture, and its bytes: both or neither.
export function keepWithPhoto(record, { id, sha256, type, bytes }) {
  return within(["records", "photos"], "readwrite", (records, photos) => {
    records.put(record);
    photos.put({ id, record: record.id, slug: record.slug, sha256, type, size: bytes.byteLength, bytes });
  });
}

// The pictures of a record, with their bytes.
export const photosOf = (record) => within(["photos"], "readonly", (photos) => photos.index("facts").getAll(photosWithin(record)));

// The bytes of one picture, or undefined where they are not here any more.
export async function photoBytes(id) {
  return (await within(["photos"], "readonly", (photos) => photos.get(id)))?.bytes;
}

// Throws a picture away; `record` is what no longer names it.
export function dropPhoto(recordId, id, record) {
  if (record.id !== recordId) throw new Error("the record of the picture is another one");
  return within(["records", "photos"], "readwrite", (records, photos) => {
    records.put(record);
    photos.delete(id);
  });
}

// What is not with the server yet of pictures, without their bytes: [{ id, record, slug, sha256, type, size }].
export async function picturesLeft() {
  const found = [];
  await within(["photos"], "readonly", (photos) =>
    walkThrough(photos.index("facts").openKeyCursor(), ({ primaryKey: id, key }) =>
      found.push({ id, ...Object.fromEntries(FACTS.map((name, i) => [name, key[i]])) }),
    ),
  );
  return found;
}

// Puts `change(record, left)` in a record's place, and `gone` pictures away. `left` is how many of its pictures have
// bytes here after that. Nothing happens where the record is not here.
export function changeRecord(id, change, gone = []) {
  return within(["records", "photos"], "readwrite", (records, photos) => {
    gone.forEach((each) => photos.delete(each));
    photos.index("facts").count(photosWithin(id)).onsuccess = ({ target: { result: left } }) => {
      records.get(id).onsuccess = ({ target: { result: record } }) => record && records.put(change(record, left));
    };
  });
}

export const keepGround = (ground) => within(["ground"], "readwrite", (all) => all.put(ground));
export const groundOf = (slug) => within(["ground"], "readonly", (all) => all.get(slug));
export const forgetGround = () => within(["ground"], "readwrite", (all) => all.clear());

// What is not with the server yet, the oldest first.
export async function unsent() {
  const waiting = (await allRecords()).filter(({ state }) => state !== "sent");
  return waiting.sort((a, b) => (a.startedAt < b.startedAt ? -1 : 1));
}

// Asks the browser not to throw this away when space is short. It may say no.
export const persist = () => navigator.storage?.persist?.().catch(() => false);
