// When and how what waits is sent: at once, when the signal is back, and every 15 seconds.

import { answered, isWell, waiting } from "./outbox.js";

/** @typedef {import("./outbox.js").Row} Row */
/** @typedef {import("./outbox.js").Answer} Answer */

const MOST_ROWS = 50;
const EVERY_MS = 15_000;
const AT_MOST_MS = 240_000;
const PATIENCE_MS = 20_000;

/** Why nothing goes out just now. */
export const trouble = { log_in: false, says: "" };
/** Rows of somebody else, and what the server says of them. @type {Map<string, string>} */
export const notYours = new Map();

/** @type {ReturnType<typeof setTimeout> | undefined} */
let timer;
let pause_ms = EVERY_MS;
/** @type {Promise<void> | undefined} */
let sending;
let again = false;
/** @type {() => void} */
let redraw = () => {};

/** Send from now on.
 * @param {() => void} tell called when there is something else to say */
export function start(tell) {
  redraw = tell;
  const fresh = () => {
    pause_ms = EVERY_MS;
    notYours.clear();
    send();
  };
  addEventListener("online", fresh);
  addEventListener("pageshow", fresh);
  document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && fresh());
}

/** Send what waits; a call while it is being sent makes one more round.
 * @returns {Promise<void>} */
export function send() {
  if (sending) again = true;
  return (sending ??= rounds());
}

async function rounds() {
  clearTimeout(timer);
  let some_wait;
  do {
    again = false;
    const well = await alone(round).catch(() => say(false, "This phone's own storage does not answer."));
    pause_ms = well ? EVERY_MS : Math.min(pause_ms * 2, AT_MOST_MS);
    some_wait = await waiting().then((rows) => rows.length > 0, () => true);
  } while (again);
  sending = undefined; // before anything else can run: a call from now on begins anew
  if (some_wait) timer = setTimeout(send, pause_ms);
  redraw();
}

/** One sender at a time, however many tabs are open.
 * @param {() => Promise<boolean>} deed */
const alone = (deed) => (navigator.locks ? navigator.locks.request("yardwright outbox", deed) : deed());

/** @returns {Promise<boolean>} whether the server took whatever it could */
async function round() {
  let most = MOST_ROWS;
  for (;;) {
    const rows = (await waiting()).filter((row) => !notYours.has(row.uuid)).slice(0, most);
    if (!rows.length) return say(false, "");
    const answer = await post(rows);
    if (typeof answer === "string") return say(answer === LOG_IN, answer);
    if (answer === TOO_MUCH && most > 1) most = Math.ceil(most / 2);
    else if (answer === TOO_MUCH) return say(false, "One entry is too large to be sent; tell the manager.");
    else if (!(await taken(rows, answer))) return say(false, "The yard's server is busy.");
  }
}

/** @param {boolean} log_in @param {string} says */
function say(log_in, says) {
  Object.assign(trouble, { log_in, says });
  return !says;
}

/** @param {Row[]} rows @param {Record<string, Answer>} answers */
async function taken(rows, answers) {
  const named = rows.filter((row) => answers[row.uuid]);
  const gone = named.filter((row) => answers[row.uuid].word !== "not yours");
  for (const row of named) if (!gone.includes(row)) notYours.set(row.uuid, answers[row.uuid].says);
  if (gone.length) await answered(gone, answers);
  const boats = new Set(gone.filter((row) => isWell(answers[row.uuid])).map((row) => row.boat));
  for (const row of gone)
    document.dispatchEvent(new CustomEvent("answered", { detail: { row, ...answers[row.uuid] } }));
  for (const boat of boats) document.dispatchEvent(new CustomEvent("held", { detail: boat }));
  return named.length > 0;
}

const LOG_IN = "Log in again; nothing is lost.";
const TOO_MUCH = Symbol("too much at once");

/** The server's answer to each row, or why there is none.
 * @param {Row[]} rows
 * @returns {Promise<Record<string, Answer> | string | typeof TOO_MUCH>} */
export async function post(rows) {
  const token = document.cookie.split("; ").find((one) => one.startsWith("csrftoken="));
  const entries = rows.map(({ name: _name, form: _form, verdict: _verdict, place: _place, ...row }) => row);
  try {
    const answer = await fetch("/phone/entries/", {
      method: "POST",
      redirect: "manual",
      signal: AbortSignal.timeout(PATIENCE_MS),
      headers: { "Content-Type": "application/json", "X-CSRFToken": token?.slice(10) ?? "" },
      body: JSON.stringify({ sent_at: new Date().toISOString(), entries }),
    });
    if (answer.status === 401 || answer.type === "opaqueredirect") return LOG_IN;
    if (answer.status === 413) return TOO_MUCH;
    if (!answer.ok) return `The yard's server could not take it (${answer.status}).`;
    return (await answer.json()).answers;
  } catch {
    return "No answer from the yard's server.";
  }
}
