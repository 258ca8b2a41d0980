// Before a hose run: the start check said again on the phone, from the yard's last answer, its clock and what waits in the outbox.

import { copyOf } from "./keep.js";
import { isWell, keep, onChange, told, waiting } from "./outbox.js";
import { send } from "./sync.js";
import { button, count, element, withOffset } from "./words.js";

/** @typedef {import("./outbox.js").Row} Row */
/** One thing a start needs, and the look that counts.
 * @typedef {{at: string, question: string, if_not: string, caution: string, good_min: number,
 *   after_stop: boolean, looked_at: string | null, holds: boolean | null, because: string}} Need */
/** @typedef {{needs: Need[], undone: {to: string, what: string}[]}} Start */
/** One thing to be asked: at a need a look is kept; without one somebody's own yes is. `tells`: what was found is written.
 * @typedef {{key: string, question: string, caution: string, at: string, tells?: boolean}} Ask */

const MINUTE_MS = 60_000;
const UNREAD_MS = 700;
/** Looks that count no longer than this (people, control, vapour, water) end with a try or a stop. */
const SHORT_MIN = 60;
const ANEW_MS = 3000;
/** The yard's last answer: of when by its clock, of when by this phone's, and whether it answers now. */
const answer = { asOf: here().asOf ?? "", atMs: copyOf() ? Date.parse(copyOf()) : Date.now(), isOld: copyOf() !== "" };
/** What somebody looked at and said yes to on this page, where no look of the yard's is asked for. @type {Set<string>} */
const yes = new Set();

/** What the page says of her. */
function here() {
  return document.getElementById("at-hand")?.dataset ?? {};
}

/** The yard's time of a moment by this phone's clock; the yard's may be set apart.
 * @param {number} phoneMs */
const yardMs = (phoneMs) => Date.parse(answer.asOf) + phoneMs - answer.atMs;

/** Ask the yard again, by the page itself; where it does not answer, its last answer is an old one.
 * @param {Start} start takes what is told */
export async function askAnew(start) {
  const askedMs = Date.now();
  try {
    const came = await fetch(location.pathname, { cache: "no-store", signal: AbortSignal.timeout(ANEW_MS) });
    if (!came.ok || came.redirected) throw new Error("no answer");
    const page = new DOMParser().parseFromString(await came.text(), "text/html");
    const fresh = JSON.parse(page.getElementById("watched")?.textContent ?? "{}").start;
    if (!fresh) throw new Error("no answer");
    Object.assign(start, fresh);
    Object.assign(answer, { asOf: page.getElementById("at-hand")?.dataset.asOf ?? "", atMs: askedMs, isOld: false });
    document.getElementById("copy")?.remove(); // it is none any more
  } catch {
    answer.isOld = true;
  }
}

/** What stands in the way of a start, and what is still to be asked.
 * @param {Start} start @param {string} tag
 * @returns {Promise<{mustNot: string[], asks: Ask[], waits: number}>} */
export async function stands(start, tag) {
  const rows = (await waiting()).filter((row) => row.boat === tag);
  const taken = (await told()).filter((one) => one.boat === tag && isWell(one) && Date.parse(one.told_at) > answer.atMs);
  const news = [...taken, ...rows].filter((row) => !row.to.endsWith("/hose-run/"));
  const looks = start.needs.map((need) => `/boats/${tag}/look/?at=${encodeURIComponent(need.at)}`);
  const plain = (/** @type {string} */ to) => to.replaceAll("+", "%20");
  const isLook = (/** @type {Row} */ row) => looks.includes(plain(row.to));
  /** @type {string[]} */
  const mustNot = [];
  /** @type {Ask[]} */
  const asks = [];
  for (const { to, what } of start.undone) {
    if (!news.some((row) => row.to.startsWith(to))) mustNot.push(`${what}: not put back`);
    else asks.push({ key: to, question: `${what}: is it back, and did you see it yourself?`, caution: "An entry about it waits on this phone.", at: "" });
  }
  start.needs.forEach((need, n) => {
    const hers = news.filter((row) => plain(row.to) === looks[n]).map(lookOf);
    if (need.looked_at) hers.push({ atMs: Date.parse(need.looked_at), holds: need.holds === true, because: need.because });
    if (need.after_stop) hers.push(...locked(tag));
    hers.sort((a, b) => b.atMs - a.atMs || Number(a.holds) - Number(b.holds));
    const [last] = hers.filter((one) => !one.holds || need.good_min > SHORT_MIN || one.atMs > yardMs(voided(tag)));
    if (need.after_stop) {
      if (last && !last.holds) asks.push({ key: need.at, question: need.question, caution: `Last: ${last.because}. ${need.caution}`, at: need.at, tells: true });
    } else if (last && !last.holds) mustNot.push(`${need.if_not} (${last.because})`);
    else if (!last || yardMs(Date.now()) - last.atMs > need.good_min * MINUTE_MS) asks.push({ key: need.at, question: need.question, caution: need.caution, at: need.at });
  });
  for (const row of news)
    if (!isLook(row) && !start.undone.some(({ to }) => row.to.startsWith(to)))
      asks.push({ key: row.uuid, question: `“${row.words}”: did you look that nothing of it stands in the way of a start?`, caution: "The yard's answer does not know this entry yet.", at: "" });
  if (answer.isOld)
    asks.push({ key: `old ${answer.asOf}`, question: `Did you look yourself that nobody opened or took off anything since ${clockOf(answer.asOf)}?`, caution: "Drains, plugs, hoses, fuel, battery, wrap. The yard does not answer, and this phone can't know it.", at: "" });
  return { mustNot, asks: asks.filter((ask) => !yes.has(ask.key)), waits: rows.length };
}

/** @param {string} iso */
const clockOf = (iso) => iso.slice(11, 16);

/** @param {Row} row */
function lookOf(row) {
  const typed = new Map(row.fields);
  const holds = typed.get("holds") === "yes";
  const earlier = typed.get("done_at");
  const atMs = earlier ? Date.parse(earlier + row.made_at.slice(-6)) : yardMs(Date.parse(row.made_at));
  return { atMs, holds, because: holds ? "seen" : (typed.get("words") ?? "") };
}

/** Ask what is still to be asked, in `place`; `ready` once nothing is, `not` while something stands in the way.
 * @param {HTMLElement} place @param {Start} start @param {string} tag
 * @param {() => void} ready @param {() => void} not @param {() => boolean} begun */
export function askFirst(place, start, tag, ready, not, begun) {
  const show = async () => {
    if (begun()) return (place.hidden = true);
    const { mustNot, asks, waits } = await stands(start, tag);
    const is_ready = !mustNot.length && !asks.length;
    const held = [...mustNot, ...asks.map((ask) => ask.key)].join("|");
    place.hidden = is_ready;
    if (place.dataset.held !== held || !held) {
      place.dataset.held = held;
      if (is_ready) place.replaceChildren();
      else draw(place, tag, mustNot, asks, waits, show);
    }
    document.getElementById("answer")?.toggleAttribute("hidden", !is_ready || document.getElementById("no-run") !== null); // what the server said then is no answer now
    if (is_ready) ready();
    else not();
    return undefined;
  };
  onChange(show);
  setInterval(show, MINUTE_MS / 4); // a look grows too old while the page is open
  show();
  return show;
}

/** @param {HTMLElement} place @param {string} tag @param {string[]} mustNot @param {Ask[]} asks @param {number} waits @param {() => unknown} again */
function draw(place, tag, mustNot, asks, waits, again) {
  const is_old = answer.isOld || waits > 0;
  const says = is_old ? `The yard's answer is of ${clockOf(answer.asOf)}${waits ? `; ${count(waits, "entry waits", "entries wait")} here` : ""}. ` : "";
  const next = mustNot.length ? "This comes first:" : `${count(asks.length, "look", "looks")} before the start: look yourself, then answer.`;
  place.replaceChildren(
    element("p", { class: "say", role: "status" }, `${says}${next}`),
    ...(mustNot.length ? [element("ul", { class: "plain" }, ...mustNot.map((words) => element("li", {}, words)))] : []),
    ...asks.map((ask) => asked(ask, tag, again)),
  );
}

/** @param {Ask} ask @param {string} tag @param {() => unknown} again */
function asked(ask, tag, again) {
  const says = element("p", { role: "alert" });
  const look = async (/** @type {boolean} */ holds, words = "") => {
    if (!ask.at) {
      yes.add(ask.key);
      return again();
    }
    try {
      await keep(lookRow(ask, tag, holds, words));
    } catch (no) {
      says.className = "refused";
      return says.replaceChildren(no instanceof Error ? no.message : String(no));
    }
    return send();
  };
  const found = element("input", { type: "text", maxlength: "160" });
  const seen = element("input", { type: "text", maxlength: "160", "aria-label": "What did you see?" });
  const not_so = button("It is not so", () => {
    if (seen.value.trim()) return look(false, seen.value.trim());
    says.className = "refused";
    says.replaceChildren("What did you see? A few words: drips, loose, missing.");
    return seen.focus();
  });
  const is_so = button("Looked now: it is so", () => {
    if (!ask.tells || found.value.trim()) return look(true, found.value.trim());
    says.className = "refused";
    says.replaceChildren("What was found? A few words: muffs had slipped, impeller torn.");
    return found.focus();
  });
  is_so.className = "main tap";
  is_so.disabled = true; // the next question moves under a finger that taps twice
  setTimeout(() => (is_so.disabled = false), UNREAD_MS);
  const more = ask.at ? [element("details", {}, element("summary", {}, "It is not so"), element("label", {}, "What did you see?", seen), not_so)] : [];
  return element("div", { class: "item asks" }, element("p", {}, element("b", {}, ask.question)), ...(ask.caution ? [element("p", {}, ask.caution)] : []), ...(ask.tells ? [element("label", {}, "What was found?", found)] : []), is_so, ...more, says);
}

/** @param {Ask} ask @param {string} tag @param {boolean} holds @param {string} words @returns {Row} */
function lookRow(ask, tag, holds, words) {
  const name = here().name ?? tag;
  return {
    uuid: crypto.randomUUID(),
    to: `/boats/${tag}/look/?at=${encodeURIComponent(ask.at)}`,
    fields: [["holds", holds ? "yes" : "no"], ["words", words]],
    made_at: withOffset(new Date()),
    person: Number(document.body.dataset.person),
    boat: tag,
    words: `${name}: ${ask.at}, ${holds ? ["looked: it is so", words].filter(Boolean).join(", ") : `it is not so: ${words}`}`,
    name: document.body.dataset.name ?? "",
  };
}

// --- after a stop -------------------------------------------------------------------

/** @param {string} tag */
const keptLock = (tag) => `stopped ${tag}`;

/** A run said stop: none begins before the water path is looked at. @param {string} tag @param {string} why */
export function locks(tag, why) {
  localStorage.setItem(keptLock(tag), JSON.stringify({ atMs: Date.now(), why }));
}

/** The stop that this phone knows of, as a look that it is not so: also before the yard has the run. @param {string} tag */
function locked(tag) {
  const stop = JSON.parse(localStorage.getItem(keptLock(tag)) ?? "null");
  return stop ? [{ atMs: yardMs(stop.atMs), holds: false, because: `the last run said stop: ${stop.why}` }] : [];
}

/** Short looks before this moment count no more. @param {string} tag */
const voided = (tag) => Number(localStorage.getItem(`looks void ${tag}`) ?? 0);

/** Who is near her, vapour and water are looked at anew before the next key. @param {string} tag */
export function voidShortLooks(tag) {
  localStorage.setItem(`looks void ${tag}`, String(Date.now()));
  yes.clear();
}

// --- tries that did not fire --------------------------------------------------------

/** @param {string} tag */
const keptTries = (tag) => `tries to start ${tag}`;

/** How often she was cranked for nothing. @param {string} tag */
export const tries = (tag) => Number(localStorage.getItem(keptTries(tag)) ?? 0);

/** @param {string} tag @param {number} many */
export function keepTries(tag, many) {
  if (many) localStorage.setItem(keptTries(tag), String(many));
  else localStorage.removeItem(keptTries(tag));
}

/** What to do now, the water first.
 * @param {HTMLElement} place @param {string} tag @param {string[]} words @param {number | null} drainedAfter @param {() => void} again */
export function showNotFired(place, tag, words, drainedAfter, again) {
  const many = tries(tag);
  const drain = drainedAfter !== null && many >= drainedAfter;
  const drained = element("input", { type: "checkbox", id: "drained" });
  const says = element("p", { role: "alert" });
  const retry = button("Water off, done: to the next try", () => {
    if (drain && !drained.checked) {
      says.className = "refused";
      return says.replaceChildren("Drain the muffler, then tick it. What stands in it reaches the cylinders.");
    }
    if (drain) keepTries(tag, 0);
    return again();
  });
  retry.className = "main tap";
  place.replaceChildren(
    element("h2", {}, `Did not fire: ${count(many, "try", "tries")}`),
    element("ol", { class: "first" }, ...words.map((one) => element("li", {}, one))),
    ...(drain ? [element("label", { class: "choice", for: "drained" }, drained, " The muffler is drained")] : []),
    says,
    retry,
  );
}
