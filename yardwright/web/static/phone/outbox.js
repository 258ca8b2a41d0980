// What was entered waits here, on the phone's disk, until the server has named its UUID.

/**
 * One form as it was filled in.
 * @typedef {object} Row
 * @property {string} uuid
 * @property {string} to           the page that takes it
 * @property {[string, string][]} fields
 * @property {string} made_at      by this phone's clock, with its offset
 * @property {number} person       whose it is
 * @property {string} boat         her tag
 * @property {string} words        what it says, to a person
 * @property {string} [name]       the person's name: stays on this phone
 * @property {string} [form]       which form it came from: stays on this phone
 * @property {string} [verdict]    on a reading, as it was shown: stays on this phone
 * @property {number} [place]      its place in the order
 */
/**
 * What the server said about a row that is no longer here.
 * @typedef {Row & {word: string, says: string, told_at: string}} Told
 */
/** @typedef {{word: string, says: string}} Answer */

/** Why an entry can't wait on this phone, in words. */
export class NotKept extends Error {}

const FULL = "This phone is full: nothing more can be kept on it.";
const NONE = "This browser keeps nothing (a private window does that), so no entry can wait here.";
const HELD_FOR_MS = 2 * 24 * 3600 * 1000; // so long "held" is shown where only an old copy is at hand

const tabs = "BroadcastChannel" in globalThis ? new BroadcastChannel("yardwright outbox") : null;
const here = new EventTarget();

/** Call back whenever a row is kept or answered, in this tab or another.
 * @param {() => void} redraw */
export function onChange(redraw) {
  here.addEventListener("change", redraw);
  tabs?.addEventListener("message", redraw);
}

function changed() {
  here.dispatchEvent(new Event("change"));
  tabs?.postMessage("change");
}

/** @type {Promise<IDBDatabase> | undefined} */
let opened;

/** @returns {Promise<IDBDatabase>} */
function box() {
  opened ??= new Promise((resolve, reject) => {
    const asked = indexedDB.open("yardwright", 1);
    asked.onupgradeneeded = () => {
      const rows = asked.result.createObjectStore("rows", { keyPath: "place", autoIncrement: true });
      rows.createIndex("uuid", "uuid", { unique: true });
      asked.result.createObjectStore("told", { keyPath: "uuid" });
    };
    asked.onerror = () => reject(asked.error);
    asked.onsuccess = () => {
      const forget = () => (opened = undefined);
      asked.result.onclose = forget;
      asked.result.onversionchange = () => (asked.result.close(), forget());
      resolve(asked.result);
    };
  });
  opened.catch(() => (opened = undefined));
  return opened;
}

/** Done only when it is on the disk.
 * @param {(rows: IDBObjectStore, told: IDBObjectStore) => void} deed */
async function write(deed) {
  const doing = (await box()).transaction(["rows", "told"], "readwrite", { durability: "strict" });
  await new Promise((resolve, reject) => {
    doing.oncomplete = () => resolve(undefined);
    doing.onabort = () => reject(doing.error);
    try {
      deed(doing.objectStore("rows"), doing.objectStore("told"));
    } catch (error) {
      reject(error);
      doing.abort();
    }
  });
}

/** @param {"rows" | "told"} store @returns {Promise<any[]>} */
async function all(store) {
  const asked = (await box()).transaction(store).objectStore(store).getAll();
  return new Promise((resolve, reject) => {
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error);
  });
}

/** Keep a row, once; a row with its UUID that waits already stays as it is.
 * @param {Row} row
 * @throws {NotKept} */
export async function keep(row) {
  try {
    await write((rows) => rows.add(row));
  } catch (error) {
    const name = error instanceof Error || error instanceof DOMException ? error.name : "";
    if (name !== "ConstraintError") throw new NotKept(name === "QuotaExceededError" ? FULL : NONE);
  }
  changed();
}

/** Whatever waits, in the order it was entered.
 * @returns {Promise<Row[]>} */
export const waiting = () => all("rows").catch(() => []);

/** What the server said: until it is read, or, where all is well, for two days.
 * @returns {Promise<Told[]>} */
export const told = () => all("told").catch(() => []);

/** The server has named these: they leave the outbox, and what it said stands in their place.
 * @param {Row[]} rows
 * @param {Record<string, Answer>} answers */
export async function answered(rows, answers) {
  const now = new Date().toISOString();
  const old = (await told()).filter(
    (one) => isWell(one) && Date.parse(now) - Date.parse(one.told_at) > HELD_FOR_MS,
  );
  /** @param {IDBObjectStore} waits */
  const drop = (waits) => rows.forEach((row) => waits.delete(/** @type {number} */ (row.place)));
  await write((waits, says) => {
    drop(waits);
    for (const row of rows) says.put({ ...row, ...answers[row.uuid], told_at: now });
    for (const one of old) says.delete(one.uuid);
  }).catch(() => write(drop)); // no room for words: the server holds them all the same
  changed();
}

/** @param {string} uuid */
export async function read(uuid) {
  await write((_, says) => says.delete(uuid));
  changed();
}

/** @param {{word: string}} answer */
export const isWell = (answer) => answer.word === "held" || answer.word === "held before";
