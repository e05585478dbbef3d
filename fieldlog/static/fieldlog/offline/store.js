// What this device keeps while there is no signal: records with their entries, and what is known of each property.
//
// A record is { id, kind, slug, user: { id, name } | null, state, … }. Its state is "open" while it is being made,
// "ready" to be sent, or "sent", when only what the server answered is left of it. Entries are what a record grows by,
// one row each, so that a page that is killed loses nothing. `ground` has facts by their name, which is a property's slug
// or begins with it (its key is called `slug`, from when there was nothing else); it is private and goes at sign-out.

const NAME = "swardbook-field";
const VERSION = 1;

let opened;

function open() {
  opened ??= new Promise((done, failed) => {
    const asked = indexedDB.open(NAME, VERSION);
    asked.onupgradeneeded = () => {
      const db = asked.result;
      db.createObjectStore("records", { keyPath: "id" });
      db.createObjectStore("entries", { keyPath: ["record", "n"] });
      db.createObjectStore("ground", { keyPath: "slug" });
    };
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
  opened.catch(() => (opened = undefined)); // the next time it may open
  return opened;
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
  return within(["records", "entries"], "readwrite", (records, rows) => {
    records.delete(id);
    rows.delete(entriesOf(id));
  });
}

// Only what the server answered is kept.
export function keepAnswer(record) {
  return within(["records", "entries"], "readwrite", (records, rows) => {
    records.put(record);
    rows.delete(entriesOf(record.id));
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
