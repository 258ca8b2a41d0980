// A reading as it is typed: what was understood, and the verdict with its reasons, before it is kept.
// The server judges it again when it comes in; without this script its page shows the same.

import { fixed, Question, say, Units } from "./units.js";
import { judge, plausibleWhen, twinOf } from "./verdict.js";
import { told, waiting } from "./outbox.js";
import { element } from "./words.js";

/** @typedef {import("./verdict.js").Rules & {marks: Record<string, string>, limit_fields: string[]}} Rules */
/** @typedef {import("./verdict.js").Quantity} Quantity */
/** @typedef {import("./verdict.js").Condition} Condition */
/** @typedef {import("./verdict.js").Reading} Reading */
/** @typedef {import("./verdict.js").Before} Before */
/** @typedef {import("./verdict.js").Limit} Limit */
/** @typedef {import("./verdict.js").Judgement} Judgement */
/** @typedef {import("./units.js").Typed} Typed */
/** What the page says of this boat.
 * @typedef {{
 *   rules: string, zone: string, instruments: Record<string, import("./verdict.js").Instrument>,
 *   readings: Record<string, {limit: Limit | null, before: Before[]}>,
 * }} Hers */
/** The form's fields by their names; nothing is empty.
 * @typedef {(name: string) => string} Given */
/** What was taken from a form: `wrong` is what is asked, `unsure` what can be said yes to.
 * @typedef {{
 *   typed: Typed[], told: [string, string][], wrong: [string, string][], unsure: [string, string][],
 *   reading: Reading,
 * }} Taken */

const MOST_PLACES = 12; // of any form here
const PAUSE_MS = 60;
const NOTHING_YET = "What did it show? A number and its unit.";
const NO_MARK = { Stop: " no", "Can't say": " unknown", "No limit on file": " unknown" };

/** @type {Rules} */
let rules;
/** @type {Units} */
let units;
const here = document.getElementById("readings-here");
/** @type {Hers} */
const hers = JSON.parse(here?.textContent || "null");

/** @param {Quantity} of @param {Given} given @param {Date} made_at @returns {Taken} */
function take(of, given, made_at) {
  /** @type {Pick<Taken, "told" | "wrong" | "unsure">} */
  const taken = { told: [], wrong: [], unsure: [] };
  const answers = Object.fromEntries(of.conditions.flatMap((one) => answer(taken, one, given)));
  const instrument = hers.instruments[given("instrument")] ?? null;
  const unit = instrument?.unit ?? of.unit;
  const plausible = plausibleWhen(of, answers);
  const typed = shown(given).flatMap((text, at) => {
    const label = of.place ? `${of.place} ${at + 1}` : of.name;
    return number(taken, `value_${at + 1}`, label, text, unit, { beside: instrument?.unit ?? "", plausible }, given) ?? [];
  });
  const reading = {
    values: typed.map((one) => one.value),
    unit,
    day: given("done_at").slice(0, 10) || dayOf(made_at),
    where: given("where").toLowerCase(),
    instrument,
    conditions: answers,
  };
  return { ...taken, typed, reading };
}

/** The values as typed, without the empty ones at the end.
 * @param {Given} given */
function shown(given) {
  const texts = Array.from({ length: MOST_PLACES }, (_, at) => given(`value_${at + 1}`));
  return texts.slice(0, texts.findLastIndex(Boolean) + 1);
}

/** @param {Pick<Taken, "told" | "wrong" | "unsure">} taken @param {Condition} one @param {Given} given
 * @returns {[string, import("./verdict.js").Answer][]} */
function answer(taken, one, given) {
  const name = `c_${one.code}`;
  const text = given(name);
  if (!text) return [];
  if (!one.unit) return [[one.code, one.choices ? text : text === "yes"]];
  const { plausible = null, difference = false } = one;
  const read = number(taken, name, one.question, text, one.unit, { beside: one.unit, plausible, difference }, given);
  if (read) taken.told.push([one.question, read.echo]);
  return read ? [[one.code, read.value]] : [];
}

/** One number; where it is unlikely, it is asked about.
 * @param {Pick<Taken, "wrong" | "unsure">} taken @param {string} name @param {string} label @param {string} text
 * @param {string} unit
 * @param {{beside: string, plausible: import("./units.js").Plausible | null, difference?: boolean}} how @param {Given} given
 * @returns {Typed | null} */
function number(taken, name, label, text, unit, { beside, plausible, difference = false }, given) {
  try {
    const really = units.read(text, unit, { beside, sure: true, difference });
    if (difference && really.value < 0) throw new Question(`${really.echo} is no distance; give 0 or more.`);
    const no = why(() => units.read(text, unit, { beside, plausible }));
    if (!no) return really;
    const yes = `Yes, it is really ${really.echo}`;
    taken.unsure.push([name, yes]);
    if (given(`sure_${name}`) === yes) return really; // not of another number
    taken.wrong.push([label, no]);
  } catch (question) {
    if (!(question instanceof Question)) throw question;
    taken.wrong.push([label, question.message]);
  }
  return null;
}

/** @param {() => void} deed */
function why(deed) {
  try {
    deed();
    return "";
  } catch (question) {
    if (question instanceof Question) return question.message;
    throw question;
  }
}

/** The day by the yard's clock.
 * @param {Date} at */
function dayOf(at) {
  return new Intl.DateTimeFormat("en-CA", { timeZone: hers.zone, dateStyle: "short" }).format(at);
}

/** @param {Quantity} of @param {Reading} reading */
function judged(of, reading) {
  const { limit = null, before = [] } = hers.readings[of.code] ?? {};
  const same_place = before.filter((one) => one.where === reading.where);
  return judge(rules, of, reading, limit, twinOf(reading, before), same_place);
}

// --- on the page ----------------------------------------------------------------------------------------------

/** @returns {HTMLFormElement[]} */
const forms = () => [...document.querySelectorAll("form")].filter((form) => form.dataset.quantity);

/** @param {HTMLFormElement} form @returns {Taken} */
function takenOf(form) {
  const fields = new FormData(form);
  return take(quantityOf(form), (name) => String(fields.get(name) ?? "").trim(), new Date());
}

/** @param {HTMLFormElement} form */
const quantityOf = (form) => rules.quantities[form.dataset.quantity ?? ""];

/** @param {HTMLFormElement} form */
function placeIn(form) {
  const there = form.querySelector(".understood");
  if (there instanceof HTMLElement) return there;
  const made = element("div", { class: "understood", "aria-live": "polite" });
  form.querySelector("button.main")?.before(made);
  return made;
}

/** Shows what a form says so far; anew only where it says something else.
 * @param {HTMLFormElement} form @param {{tapped?: boolean}} how */
function show(form, { tapped = false } = {}) {
  const taken = takenOf(form);
  const place = placeIn(form);
  const empty = !taken.typed.length && !taken.wrong.length;
  const says = JSON.stringify([taken, tapped && empty]);
  if (place.dataset.says === says) return taken;
  place.dataset.says = says;
  const echo = taken.typed.map((one) => one.echo).join("; ");
  const is_read = !empty && !taken.wrong.length && taken.typed.length > 0;
  const focused = document.activeElement;
  place.replaceChildren(
    ...taken.wrong.map(([label, no]) => alert(`${label}: ${no}`)),
    ...(tapped && empty ? [alert(NOTHING_YET)] : []),
    ...taken.unsure.map(([name, yes]) => yesReally(form, name, yes)),
    ...(is_read ? understood(quantityOf(form), taken, echo) : []),
  );
  if (focused instanceof HTMLInputElement && !focused.isConnected) refocus(form, focused.name);
  form.dataset.verdict = is_read ? judged(quantityOf(form), taken.reading).verdict : "";
  const button = form.querySelector("button.main");
  if (button) button.textContent = is_read ? `Keep it: ${echo}` : "Keep it";
  return taken;
}

/** A yes that was drawn anew.
 * @param {HTMLFormElement} form @param {string} name */
function refocus(form, name) {
  const again = form.elements.namedItem(name);
  if (again instanceof HTMLInputElement) again.focus();
}

/** @param {string} words */
const alert = (words) => element("p", { class: "refused", role: "alert" }, words);

/** @param {HTMLFormElement} form @param {string} name @param {string} yes */
function yesReally(form, name, yes) {
  const box = element("input", { type: "checkbox", name: `sure_${name}`, value: yes });
  box.checked = new FormData(form).get(box.name) === yes;
  return element("label", { class: "choice" }, box, ` ${yes}`);
}

/** @param {Quantity} of @param {Taken} taken @param {string} echo */
function understood(of, taken, echo) {
  const said = judged(of, taken.reading);
  const told = taken.told.map(([question, answer]) => element("li", {}, `${question} `, element("b", {}, answer)));
  const known = said.u
    ? `Known to ${say(Math.max(...said.u), said.unit)} (standard uncertainty, the limit's own in it).`
    : "How far off the reading can be is not known.";
  const from = said.limit ? `, from ${said.limit.source}, page ${said.limit.page}` : "";
  return [
    element("p", { class: "say" }, `Understood: ${echo}`),
    ...(told.length ? [element("ul", { class: "plain" }, ...told)] : []),
    element(
      "div",
      { class: `answer${own(NO_MARK, said.verdict)}` },
      element("h3", {}, state(said.verdict)),
      element("ul", {}, ...said.reasons.map((one) => element("li", {}, one.words))),
      element("p", { class: "ev" }, `Limit: ${limitWords(said.limit)}${from}. ${known}`),
    ),
  ];
}

/** @param {Record<string, string>} words @param {string} word */
const own = (words, word) => words[word] ?? "";

/** Its shape, then the word itself.
 * @param {string} verdict */
function state(verdict) {
  const mark = element("span", { class: verdict === "Stop" ? "mark stop" : "mark" });
  mark.innerHTML = rules.marks[verdict]; // the yard's own drawing
  mark.append(verdict);
  return mark;
}

/** @param {Limit | null} limit */
function limitWords(limit) {
  const parts = [];
  if (limit && limit.lower !== null) parts.push(`at least ${say(limit.lower, limit.unit, 4)}`);
  if (limit && limit.upper !== null) parts.push(`at most ${say(limit.upper, limit.unit, 4)}`);
  const even = limit?.lowest_over_highest ?? null;
  if (even !== null) parts.push(`lowest over highest at least ${fixed(even, 2)}`);
  return parts.join(", ") || "no limit on file";
}

/** What was entered on this phone was read too, also where the page is an old copy: a twin.
 * @param {import("./outbox.js").Row} row */
function remember(row) {
  const to = new URL(row.to, location.href);
  const of = rules.quantities[to.searchParams.get("quantity") ?? ""];
  if (!of || to.pathname !== readingsPath()) return;
  const fields = new Map(row.fields);
  const { reading, wrong } = take(of, (name) => (fields.get(name) ?? "").trim(), new Date(row.made_at));
  if (wrong.length || !reading.values.length) return;
  hers.readings[of.code] ??= { limit: null, before: [] };
  hers.readings[of.code].before.push(reading);
}

const readingsPath = () => forms().map((form) => new URL(form.action).pathname)[0];

/** @param {Event} event @returns {HTMLFormElement | null} */
function readingForm(event) {
  const form = event.target instanceof Element ? event.target.closest("form") : null;
  return form?.dataset.quantity ? form : null;
}

/** @type {Map<HTMLFormElement, number>} */
const soon = new Map();

/** @param {HTMLFormElement} form */
function showSoon(form) {
  clearTimeout(soon.get(form));
  soon.set(form, setTimeout(show, PAUSE_MS, form));
}

function watch() {
  for (const type of ["input", "change", "kept"])
    document.addEventListener(type, (event) => {
      const form = readingForm(event);
      if (event instanceof CustomEvent) remember(event.detail);
      if (form) showSoon(form);
    });
  // Before the outbox takes it: what can't be read is asked about here, not in the office tomorrow.
  window.addEventListener(
    "submit",
    (event) => {
      const form = readingForm(event);
      if (!form) return;
      const taken = show(form, { tapped: true });
      if (taken.typed.length && !taken.wrong.length) return;
      event.preventDefault();
      event.stopImmediatePropagation();
      placeIn(form).scrollIntoView({ block: "nearest" });
    },
    true,
  );
  for (const form of forms()) {
    placeIn(form);
    show(form);
  }
}

if (hers) {
  const answer = await fetch(hers.rules).catch(() => null);
  if (answer?.ok) {
    rules = await answer.json();
    units = new Units(rules.units);
    const nothing = Object.fromEntries(rules.limit_fields.map((name) => [name, null]));
    for (const one of Object.values(hers.readings)) one.limit &&= { ...nothing, ...one.limit };
    for (const row of [...(await told()), ...(await waiting())]) remember(row);
    watch();
  }
}
