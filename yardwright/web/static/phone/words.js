// How the phone says a time, a count and what became of an entry.

/** @typedef {import("./outbox.js").Row} Row */
/** @typedef {import("./outbox.js").Told} Told */

import { isWell } from "./outbox.js";

/** @param {string} iso @returns {string} 07:42, or with its day when that is not today */
export function at(iso) {
  const then = new Date(iso);
  const clock = then.toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" });
  if (then.toDateString() === new Date().toDateString()) return clock;
  return `${then.toLocaleDateString("en-GB", { day: "numeric", month: "short" })}, ${clock}`;
}

/** @param {Date} now @returns {string} ISO with this phone's offset */
export function withOffset(now) {
  const ahead_min = -now.getTimezoneOffset();
  const wall = new Date(now.getTime() + ahead_min * 60_000).toISOString().slice(0, -1);
  const size = Math.abs(ahead_min);
  const two = (/** @type {number} */ n) => String(n).padStart(2, "0");
  return `${wall}${ahead_min < 0 ? "-" : "+"}${two(Math.floor(size / 60))}:${two(size % 60)}`;
}

/** @param {number} n @param {string} one @param {string} more */
export const count = (n, one, more) => (n === 1 ? `1 ${one}` : `${n} ${more}`);

/** @param {Row} row */
export const waits = (row) => `Kept on this phone ${at(row.made_at)}, waiting to be sent.`;

/** @param {{word: string, says: string}} answer */
export const became = (answer) => `${isWell(answer) ? "Held" : "Kept aside"}. ${answer.says}`;

/** An element with its words.
 * @template {keyof HTMLElementTagNameMap} Tag
 * @param {Tag} tag @param {Record<string, string>} attributes
 * @param {...(string | Node)} inside
 * @returns {HTMLElementTagNameMap[Tag]} */
export function element(tag, attributes = {}, ...inside) {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, value);
  made.append(...inside);
  return made;
}

/** @param {string} words @param {() => void} deed @param {string} look */
export function button(words, deed, look = "tap") {
  const made = element("button", { type: "button", class: look }, words);
  made.addEventListener("click", deed);
  return made;
}
