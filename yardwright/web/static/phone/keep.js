// The pages of today's boats on this phone: fetched while there is signal, said how old, and by whom.

import { at, count, element } from "./words.js";

/** @typedef {{url: string, name: string, edition: string}} Boat */
/** @typedef {{edition: string, size: number, kept_at: string, photos: string}} Copy */

export const PAGES = "yardwright pages"; // worker.js writes both
const PHOTOS = "yardwright small photos";
const MOST_BYTES = 20_000_000;
const LANES = 2;
const MAY_GO =
  "This browser does not promise to keep what waits when the phone is full or lies unused for days. Put this page on the home screen, and send what waits soon.";
const A_DAY_MS = 24 * 3600 * 1000;

const { person = "", copyOf: copy_of = "" } = document.body.dataset;
const here = location.pathname;
const ALWAYS = ["/phone/", `/yard/people/${person}/day/`]; // today's boats, and one's own day
let fetching = false;

/** When this page was kept, if it is a copy; by this phone's clock. */
export const copyOf = () => copy_of;

export async function start() {
  sayCopy();
  await forgetOthers();
  if (!person || !("serviceWorker" in navigator)) return;
  document.addEventListener("held", (event) => {
    const boat = event instanceof CustomEvent && event.detail;
    if (boat && navigator.serviceWorker.controller) fetchAgain(`/boats/${boat}/at-hand/`);
  });
  if (!ALWAYS.includes(here) && !here.endsWith("/at-hand/")) return;
  await navigator.serviceWorker.register("/phone/worker.js", { scope: "/", updateViaCache: "none" });
  askToStay();
  await controlled();
  if (!copy_of) fetchAgain(here);
  await fetchToday();
  addEventListener("online", fetchToday);
}

/** Only where the worker keeps what it fetches. */
async function controlled() {
  if (navigator.serviceWorker.controller) return;
  await new Promise((go) => navigator.serviceWorker.addEventListener("controllerchange", go, { once: true }));
}

/** Copies name owners: whoever logs in next gets their own. */
async function forgetOthers() {
  if (!person || localStorage.getItem("pages of") === person) return;
  for (const name of [PAGES, PHOTOS]) await globalThis.caches?.delete(name);
  localStorage.removeItem("today");
  localStorage.setItem("pages of", person);
}

/** The browser is asked once not to clear what waits. */
async function askToStay() {
  if (localStorage.getItem("asked to stay") || !navigator.storage?.persist) return;
  localStorage.setItem("asked to stay", "yes");
  await navigator.storage.persist();
}

function sayCopy() {
  if (!copy_of) return;
  const made = document.getElementById("at-hand")?.dataset.asOf?.slice(11, 16) || at(copy_of);
  const line = element("p", { id: "copy", class: "answer unknown", role: "status" });
  line.append(element("b", {}, `Copy of ${made}.`), " What others did since is not in it.");
  (document.querySelector("main .head") ?? document.querySelector("main h1"))?.after(line);
}

/** The worker keeps what comes. @param {string} page */
const fetchAgain = (page) => fetch(page).then((answer) => answer.ok && !answer.redirected, () => false);

/** @returns {{boats: Boat[], at: string}} */
const today = () => JSON.parse(localStorage.getItem("today") ?? '{"boats": [], "at": ""}');

/** Fetch what is new of today's boats, and say how far it is. */
export async function fetchToday() {
  if (fetching) return;
  fetching = true;
  try {
    const answer = await fetch("/phone/today.json");
    if (answer.ok && !answer.redirected) {
      const { boats } = await answer.json();
      localStorage.setItem("today", JSON.stringify({ boats, at: new Date().toISOString() }));
      await fetchNew(boats);
    }
  } catch {
    // no signal: what is kept stays
  } finally {
    fetching = false;
    await sayCopies();
  }
}

/** @param {Boat[]} boats */
async function fetchNew(boats) {
  const kept = await copies();
  await dropOld(boats, kept);
  const left = boats.filter((boat) => kept.get(boat.url)?.edition !== boat.edition);
  for (const page of ALWAYS) if (here !== page) await fetchAgain(page);
  const lane = async () => {
    for (let boat = left.shift(); boat; boat = left.shift()) {
      if (total(await copies()) > MOST_BYTES) return;
      await fetchAgain(boat.url);
      await sayCopies();
    }
  };
  await Promise.all(Array.from({ length: LANES }, lane));
  await dropPhotos();
}

/** @returns {Promise<Map<string, Copy>>} by page */
async function copies() {
  const cache = await caches.open(PAGES);
  const found = new Map();
  for (const asked of await cache.keys()) {
    const headers = (await cache.match(asked, { ignoreVary: true }))?.headers;
    if (!headers) continue;
    const copy = { edition: headers.get("X-Edition"), size: Number(headers.get("X-Size")), kept_at: headers.get("X-Kept-At"), photos: headers.get("X-Photos") ?? "" };
    found.set(new URL(asked.url).pathname, copy);
  }
  return found;
}

/** @param {Map<string, Copy>} kept */
const total = (kept) => [...kept.values()].reduce((sum, one) => sum + one.size, 0);

/** @param {Boat[]} boats @param {Map<string, Copy>} kept */
async function dropOld(boats, kept) {
  const cache = await caches.open(PAGES);
  const of_boats = ["at-hand", "under-wrap", "finding", "hose-run"].flatMap((page) => boats.map((boat) => boat.url.replace("at-hand", page)));
  const stays = new Set([...ALWAYS, here, ...of_boats]);
  for (const [page, { kept_at }] of kept)
    if (!stays.has(page) && Date.now() - Date.parse(kept_at) > A_DAY_MS) await cache.delete(page, { ignoreVary: true });
}

/** Those that no page on this phone shows any more. */
async function dropPhotos() {
  const shown = new Set([...(await copies()).values()].flatMap((copy) => copy.photos.split(" ")));
  const cache = await caches.open(PHOTOS);
  for (const photo of await cache.keys()) if (!shown.has(new URL(photo.url).pathname)) await cache.delete(photo);
}

/** How many of today's boats are here, how old, and which are missing. */
async function sayCopies() {
  const place = document.getElementById("copies");
  if (!place) return;
  const { boats, at: asked_at } = today();
  const kept = await copies();
  const missing = boats.filter((boat) => !kept.has(boat.url));
  const old = boats.filter((boat) => kept.has(boat.url) && kept.get(boat.url)?.edition !== boat.edition);
  const full = total(kept) > MOST_BYTES ? " No more than 20 MB of them are kept." : "";
  const words = boats.length
    ? `${boats.length - missing.length} of ${count(boats.length, "boat is", "boats are")} on this phone; copy of ${at(asked_at)}.${full}`
    : "No boat is on this phone yet.";
  const stays = (await navigator.storage?.persisted?.()) ? [] : [element("p", { class: "ev" }, MAY_GO)];
  const named = (/** @type {Boat[]} */ some, /** @type {string} */ said) => (some.length ? [element("p", {}, `${said}: ${some.map((one) => one.name).join(", ")}.`)] : []);
  place.replaceChildren(element("p", { role: "status" }, words), ...named(missing, "Not here"), ...named(old, "Here, but older"), ...stays);
}
