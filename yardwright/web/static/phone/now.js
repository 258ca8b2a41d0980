// What others do at this boat while her page is open: asked every second and a half, said, shown.

import { told as answered, waiting } from "./outbox.js";
import { button, element } from "./words.js";

/** @typedef {{entry: string, item: string, short: string, says: string, done: boolean}} News */
/** @typedef {{since: number, here: string, news: News[], more: number}} Answer */

const EVERY_MS = 1500;
const AT_MOST_MS = 30_000;
const PATIENCE_MS = 8000;
const MOST_LINES = 4;
const NO_SIGNAL = "Who is at her now is not known: no signal.";
const LOG_IN = "Who is at her now is not known: log in again.";

const place = /** @type {HTMLElement} */ (document.getElementById("now"));
const here = /** @type {HTMLElement} */ (document.getElementById("here"));
const lines = /** @type {HTMLElement} */ (document.getElementById("news"));
const is_at_hand = document.getElementById("at-hand") !== null;
const on = matchMedia("(pointer: coarse)").matches ? "phone" : "desk";

/** @type {News[]} */
let told = [];
let more = 0;
let came = true;
let pause_ms = EVERY_MS;
/** @type {ReturnType<typeof setTimeout> | undefined} */
let timer;
let asking = false;

async function ask() {
  clearTimeout(timer);
  if (asking || document.visibilityState !== "visible") return;
  asking = true;
  const goes_on = await round().finally(() => (asking = false));
  if (goes_on) timer = setTimeout(ask, pause_ms);
}

/** @returns {Promise<boolean>} whether to ask again */
async function round() {
  try {
    const answer = await post();
    if (answer.status === 401 || answer.type === "opaqueredirect") {
      here.textContent = LOG_IN;
      return false;
    }
    if (answer.status === 404) {
      here.textContent = "Who is at her now is not known: no boat has this tag now.";
      return false;
    }
    if (!answer.ok) throw new Error(String(answer.status));
    came = false;
    pause_ms = EVERY_MS;
    if (answer.status === 200) await take(await answer.json());
    else if (here.textContent !== place.dataset.shows) here.textContent = place.dataset.shows ?? "";
  } catch {
    here.textContent = NO_SIGNAL;
    pause_ms = Math.min(pause_ms * 2, AT_MOST_MS);
  }
  return true;
}

function post() {
  const token = document.cookie.split("; ").find((one) => one.startsWith("csrftoken="));
  const shows = (place.dataset.shows ??= here.textContent ?? "");
  return fetch(place.dataset.asks ?? "", {
    method: "POST",
    redirect: "manual",
    signal: AbortSignal.timeout(PATIENCE_MS),
    headers: { "Content-Type": "application/json", "X-CSRFToken": token?.slice(10) ?? "" },
    body: JSON.stringify({ since: Number(place.dataset.since), shows, on, came }),
  });
}

/** What this phone sent itself is no news on it. @param {Answer} answer */
async function take(answer) {
  place.dataset.since = String(answer.since);
  place.dataset.shows = here.textContent = answer.here;
  const own = new Set([...(await waiting()), ...(await answered())].map((row) => row.uuid));
  const news = answer.news.filter((one) => !own.has(one.entry));
  if (!news.length) return;
  told = [...told, ...news];
  more += answer.more;
  const is_all = refresh();
  if (is_at_hand) news.forEach(mark);
  say(!is_all || (is_at_hand && !news.every((one) => document.getElementById(one.item))));
}

/** @param {boolean} offers whether some of it is not shown on the page yet */
function say(offers) {
  const last = told.slice(-MOST_LINES).map((one) => element("p", {}, one.says));
  const before = told.length - last.length + more;
  const also = before > 0 ? [element("p", {}, `And ${before} more before.`)] : [];
  const asks = offers || lines.querySelector("button.show") ? [button("Show it", showAll, "tap show")] : [];
  lines.replaceChildren(...also, ...last, ...asks, button("I have read it", read));
}

function read() {
  told = [];
  more = 0;
  lines.replaceChildren();
}

/** What is typed stays: each form keeps its draft on this device. */
function showAll() {
  if (is_at_hand) return location.reload();
  swap(parts());
  lines.querySelector("button.show")?.remove();
}

/** @returns {HTMLElement[]} */
const parts = () => [...document.querySelectorAll("[data-live]")].filter((one) => one instanceof HTMLElement);

/** Fetch anew whatever nobody is busy with. @returns {boolean} whether that is all there is */
function refresh() {
  const free = parts().filter((part) => !isBusy(part));
  swap(free);
  return free.length === parts().length;
}

/** @param {HTMLElement[]} some */
function swap(some) {
  if (!some.length) return;
  place.setAttribute("hx-select-oob", some.map((part) => `#${part.id}`).join(","));
  place.dispatchEvent(new Event("news"));
}

/** Something in it is unfolded, typed, or has the focus. @param {HTMLElement} part */
function isBusy(part) {
  return part.matches("details[open]") || part.contains(document.activeElement) || part.querySelector("details[open]") !== null || [...part.querySelectorAll("form")].some(isTouched);
}

/** @param {HTMLFormElement} form */
function isTouched(form) {
  return [...form.elements].some((field) => {
    if (field instanceof HTMLSelectElement) return [...field.options].some((one) => one.selected !== one.defaultSelected);
    if (field instanceof HTMLTextAreaElement) return field.value !== field.defaultValue;
    return field instanceof HTMLInputElement && (field.value !== field.defaultValue || field.checked !== field.defaultChecked);
  });
}

/** The row and its form say it; what is typed there stays. @param {News} one */
function mark(one) {
  const item = one.item ? document.getElementById(one.item) : null;
  const stands = item?.querySelector("summary .now");
  if (!item || !one.short) return;
  if (stands) stands.textContent = one.short;
  item.classList.toggle("by-another", one.done);
  const said = item.querySelector(".by-whom") ?? element("p", { class: "by-whom answer" });
  const also = one.done ? " Enter it too only if you did it yourself: both are kept." : "";
  said.textContent = `${one.says}${also}`;
  item.querySelector("summary")?.after(said);
}

document.addEventListener("visibilitychange", ask);
addEventListener("online", () => {
  pause_ms = EVERY_MS;
  ask();
});
ask();
