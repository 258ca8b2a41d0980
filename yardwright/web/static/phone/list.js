// The page of what waits: every entry in words, with its time and what became of it.

import { isWell, read } from "./outbox.js";
import { notYours, trouble } from "./sync.js";
import { at, became, button, count, element } from "./words.js";

/** @typedef {import("./outbox.js").Row} Row */
/** @typedef {import("./outbox.js").Told} Told */

const me = Number(document.body.dataset.person);

/** @param {Row[]} rows @param {Told[]} answers */
export function show(rows, answers) {
  const place = document.getElementById("kept-here");
  if (!place) return;
  const mine = rows.filter((row) => row.person === me);
  const shows = JSON.stringify([rows.map((row) => row.uuid), answers.map((one) => one.uuid), trouble.says, notYours.size]);
  if (place.dataset.shows === shows) return;
  place.dataset.shows = shows;
  const asides = answers.filter((one) => one.person === me && !isWell(one));
  const held = answers.filter((one) => one.person === me && isWell(one)).reverse();
  place.replaceChildren(
    element("p", { class: "say", role: "status" }, said(mine)),
    items([...mine.map(line), ...asides.map(aside), ...others(rows)]),
    ...(held.length ? [element("h3", {}, "Sent from here in the last two days"), items(held.map(heldLine))] : []),
  );
}

/** @param {Row[]} mine */
function said(mine) {
  if (!mine.length) return "Nothing of yours waits on this phone.";
  return [`${count(mine.length, "entry waits", "entries wait")} to be sent.`, trouble.says].filter(Boolean).join(" ");
}

/** @param {HTMLElement[]} lines */
const items = (lines) => element("ul", { class: "plain" }, ...lines);

/** @param {Row} row */
function line(row) {
  const no = notYours.get(row.uuid);
  return element("li", {}, element("b", {}, row.words + (row.verdict ? `: ${row.verdict}.` : ".")), ` Kept on this phone ${at(row.made_at)}, waiting to be sent. ${no ?? ""}`);
}

/** @param {Told} one */
function aside(one) {
  const words = element("div", { class: "refused", role: "alert" }, `${one.words}, ${at(one.made_at)}. ${became(one)}`);
  words.append(button("I have read it", () => read(one.uuid)));
  return element("li", {}, words);
}

/** @param {Told} one */
const heldLine = (one) => element("li", {}, element("b", {}, one.words), ` ${at(one.made_at)}. ${became(one)}`);

/** Of other people's entries only that they wait. @param {Row[]} rows */
function others(rows) {
  /** @type {Map<string, number>} */
  const wait = new Map();
  for (const { name } of rows.filter((row) => row.person !== me)) wait.set(name ?? "", (wait.get(name ?? "") ?? 0) + 1);
  return [...wait].map(([name, n]) => {
    const waits = count(n, `entry of ${name} waits`, `entries of ${name} wait`);
    return element("li", {}, `${waits}: log in as ${name} to send ${n === 1 ? "it" : "them"}.`);
  });
}

/** This page came by plain http: say what the phone lacks. */
export function lacks() {
  const place = document.getElementById("kept-here") ?? document.getElementById("at-hand");
  if (!place) return;
  const words = element("p", { class: "answer unknown" }, element("b", {}, "This page came by plain http, so it works only with signal: "));
  words.append("no page and no entry is kept on this phone, and each form goes straight to the yard. The office's page ");
  words.append(element("a", { href: "/yard/phones/" }, "Phones"), " tells the way to https.");
  place.prepend(words);
}
