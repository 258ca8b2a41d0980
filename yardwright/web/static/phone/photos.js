// Photos wait here, on the phone's disk, until the server has named each one's number.

import { onChange, waiting } from "./outbox.js";
import { withOffset } from "./words.js";

/**
 * A photo, without its bytes.
 * @typedef {object} Photo
 * @property {string} uuid
 * @property {string} entry    the UUID of the entry beside which it was taken
 * @property {string} form     which form it was taken in: stays on this phone
 * @property {string} words    what it is of: stays on this phone
 * @property {string} boat     her tag
 * @property {number} person   whose it is
 * @property {string} made_at  by this phone's clock, with its offset
 * @property {boolean} goes    its entry was made
 * @property {string} no       why the yard does not take it
 * @property {boolean} [loose] there was no room for it: it is lost when the page closes
 */
/** @typedef {{uuid: string, word: string, says: string}} Answer */

/** Why a file is no photo for the yard, in words. */
export class NoPhoto extends Error {}

const LONGEST_PX = 1600;
const QUALITY = 0.8;
const MOST_BYTES = 25_000_000;
const EVERY_MS = 15_000;
const PATIENCE_MS = 60_000;
const PICTURE = /\.(heic|heif|jpe?g|png|webp)$/i;

/** Those for which there was no room. @type {Map<string, {photo: Photo, bytes: ArrayBuffer}>} */
const loose = new Map();
/** Of somebody else, who is asked to log in. @type {Set<string>} */
const not_yours = new Set();
const here = new EventTarget();
const tabs = "BroadcastChannel" in globalThis ? new BroadcastChannel("yardwright photos") : null;

/** @param {(answer: Answer | undefined) => void} redraw */
export function onPhotos(redraw) {
  here.addEventListener("change", (event) => redraw(event instanceof CustomEvent ? event.detail : undefined));
  tabs?.addEventListener("message", () => redraw(undefined));
}

/** @param {Answer} [answer] */
function changed(answer) {
  here.dispatchEvent(new CustomEvent("change", { detail: answer }));
  tabs?.postMessage("change");
}

/** @returns {Promise<IDBDatabase>} */
function opened() {
  return new Promise((resolve, reject) => {
    const asked = indexedDB.open("yardwright photos", 1);
    asked.onupgradeneeded = () => {
      asked.result.createObjectStore("photos", { keyPath: "uuid" });
      asked.result.createObjectStore("bytes");
    };
    asked.onerror = () => reject(asked.error);
    asked.onsuccess = () => resolve(asked.result);
  });
}

/** Done only when it is on the disk.
 * @param {(photos: IDBObjectStore, bytes: IDBObjectStore) => IDBRequest | void} deed @returns {Promise<any>} */
async function within(deed, mode = /** @type {IDBTransactionMode} */ ("readwrite")) {
  const box = await opened();
  try {
    const doing = box.transaction(["photos", "bytes"], mode, { durability: "strict" });
    const asked = deed(doing.objectStore("photos"), doing.objectStore("bytes"));
    await new Promise((resolve, reject) => {
      doing.oncomplete = resolve;
      doing.onabort = () => reject(doing.error);
    });
    return asked?.result;
  } finally {
    box.close();
  }
}

/** Keep a photo; without room for it, it stays in this page.
 * @param {Photo} photo @param {ArrayBuffer} bytes */
export async function keepPhoto(photo, bytes) {
  try {
    await within((photos, all_bytes) => {
      photos.put(photo);
      all_bytes.put(bytes, photo.uuid);
    });
  } catch {
    loose.set(photo.uuid, { photo: { ...photo, loose: true }, bytes });
  }
  changed();
}

/** Every photo on this phone, in the order they were taken.
 * @returns {Promise<Photo[]>} */
export async function allPhotos() {
  const kept = await within((photos) => photos.getAll(), "readonly").catch(() => []);
  const all = [...kept, ...[...loose.values()].map((one) => one.photo)];
  return all.sort((one, other) => (one.made_at < other.made_at ? -1 : 1));
}

/** @param {string} uuid @returns {Promise<ArrayBuffer | undefined>} */
export async function bytesOf(uuid) {
  return loose.get(uuid)?.bytes ?? within((_, bytes) => bytes.get(uuid), "readonly");
}

/** @param {string} uuid @param {Answer} [answer] */
export async function drop(uuid, answer) {
  if (!loose.delete(uuid))
    await within((photos, bytes) => {
      photos.delete(uuid);
      bytes.delete(uuid);
    });
  changed(answer);
}

/** @param {Photo} photo @param {Partial<Photo>} told */
async function change(photo, told) {
  Object.assign(photo, told);
  const there = loose.get(photo.uuid);
  if (there) Object.assign(there.photo, told);
  else await within((photos) => photos.put(photo));
}

/** The entry was made: its photos go after it.
 * @param {string[]} entries */
export async function go(entries) {
  for (const photo of await allPhotos())
    if (!photo.goes && entries.includes(photo.entry)) await change(photo, { goes: true });
  changed();
  sendPhotos();
}

/** What the yard did not take is sent once more.
 * @param {Photo} photo */
export async function tryAgain(photo) {
  await change(photo, { no: "" });
  changed();
  sendPhotos();
}

/** A file as the yard wants it: upright, no larger than needed, without its place. What this browser can't show goes as it is.
 * @param {File} file @param {boolean} keeps_place
 * @returns {Promise<ArrayBuffer>} */
export async function shrunk(file, keeps_place) {
  const small = keeps_place ? null : await drawnSmall(file).catch(() => null);
  if (small) return small.arrayBuffer();
  if (!file.type.startsWith("image/") && !PICTURE.test(file.name)) throw new NoPhoto(`${file.name} is no picture.`);
  if (file.size > MOST_BYTES) throw new NoPhoto(`${file.name} has ${Math.round(file.size / 1e6)} MB; at most ${MOST_BYTES / 1e6} MB can be sent.`);
  if (!file.size) throw new NoPhoto(`${file.name} is empty.`);
  return file.arrayBuffer().catch(() => {
    throw new NoPhoto(`${file.name} can't be read here. Take it again.`);
  });
}

/** @param {File} file @returns {Promise<Blob | null>} */
async function drawnSmall(file) {
  const seen = await createImageBitmap(file, { imageOrientation: "from-image" });
  const scale = Math.min(1, LONGEST_PX / Math.max(seen.width, seen.height));
  const sheet = document.createElement("canvas");
  sheet.width = Math.max(1, Math.round(seen.width * scale));
  sheet.height = Math.max(1, Math.round(seen.height * scale));
  const pen = sheet.getContext("2d");
  if (!pen) return null;
  pen.fillStyle = "white";
  pen.fillRect(0, 0, sheet.width, sheet.height);
  pen.imageSmoothingQuality = "high";
  pen.drawImage(seen, 0, 0, sheet.width, sheet.height);
  seen.close();
  return new Promise((go) => sheet.toBlob(go, "image/jpeg", QUALITY));
}

/** @type {ReturnType<typeof setTimeout> | undefined} */
let timer;
/** @type {Promise<void> | undefined} */
let sending;
let again = false;

/** Send from now on: after the entries, when the signal is back, and every 15 seconds. */
export function startSending() {
  onChange(sendPhotos);
  addEventListener("online", sendPhotos);
  addEventListener("pageshow", () => {
    not_yours.clear(); // somebody else may have logged in meanwhile
    sendPhotos();
  });
  document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && sendPhotos());
}

/** @returns {Promise<void>} */
export function sendPhotos() {
  if (sending) again = true;
  return (sending ??= rounds());
}

async function rounds() {
  clearTimeout(timer);
  let some_wait;
  do {
    again = false;
    const ended = navigator.locks ? navigator.locks.request("yardwright photos", round) : round();
    await ended.catch(() => {}); // this phone's storage does not answer: tried again later
    some_wait = (await allPhotos()).some((one) => one.goes && !one.no);
  } while (again);
  sending = undefined; // before anything else can run: a call from now on begins anew
  if (some_wait) timer = setTimeout(sendPhotos, EVERY_MS);
}

/** Each one whose entry is with the yard. */
async function round() {
  const photos = (await allPhotos()).filter((one) => one.goes && !one.no && !not_yours.has(one.uuid));
  if (!photos.length) return;
  const waits = new Set((await waiting()).map((row) => row.uuid));
  for (const photo of photos.filter((one) => !waits.has(one.entry))) {
    const answer = await post(photo);
    if (answer === NO_SIGNAL) return;
    if (!answer) continue; // the server stumbled over this one: those behind it still go
    if (answer.word === "held" || answer.word === "held before") await drop(photo.uuid, answer);
    else if (answer.word === "not yours") not_yours.add(photo.uuid);
    else {
      await change(photo, { no: answer.says });
      changed(answer);
    }
  }
}

const NO_SIGNAL = Symbol("the yard can't be reached, or asks for a log-in");

/** @param {Photo} photo @returns {Promise<Answer | undefined | typeof NO_SIGNAL>} undefined: the yard said nothing of it */
async function post(photo) {
  const bytes = await bytesOf(photo.uuid);
  if (!bytes) return { uuid: photo.uuid, word: "refused", says: "This phone has lost it." };
  const sends = new FormData();
  sends.set("photo", new Blob([bytes]), "photo");
  const told = { entry: photo.entry, boat: photo.boat, person: String(photo.person), made_at: photo.made_at, sent_at: withOffset(new Date()) };
  for (const [name, says] of Object.entries(told)) sends.set(name, says);
  const asked = { method: "POST", redirect: "manual", signal: AbortSignal.timeout(PATIENCE_MS), body: sends };
  const answer = await fetch(`/phone/photos/${photo.uuid}/`, /** @type {RequestInit} */ (asked)).catch(() => null);
  if (!answer || answer.type === "opaqueredirect" || answer.status === 401) return NO_SIGNAL;
  const said = (await answer.json().catch(() => ({}))).answers?.[photo.uuid];
  return said && { uuid: photo.uuid, ...said };
}
