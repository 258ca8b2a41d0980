// The hose run on the phone: asks, listens, draws the heat, and says stop full-screen; all of it with no signal.

import { compared, drawHeat, round } from "./hose_heat.js";
import { hear } from "./hose_heard.js";
import { pointsForm } from "./hose_points.js";
import { beep, listen, maySleep, quietMs, stayAwake, wakeSound } from "./hose_sound.js";
import { askAnew, askFirst, keepTries, locks, showNotFired, stands, tries, voidShortLooks } from "./hose_start.js";
import { showStop } from "./hose_stop.js";
import { stopWords, Watch } from "./hose_watch.js";
import { Units } from "./units.js";
import { button, element } from "./words.js";

/** @typedef {{tag: string, supply: string, at_the_key: string, limit_c: number | null, kept: Record<string, [number, number][][]>,
 *   start: import("./hose_start.js").Start | null, not_fired: string[], drained_after: number | null}} Watched */
/** What is kept while it runs: when it started, by the phone's clock, and its lines.
 * @typedef {{startedAt: number, lines: string[], over: string}} Kept */

const TICK_MS = 250;
const KEY = "Press it, and turn the key only when the count runs: the yard is asked once more whether she may start. How long the starter may turn, and how long it rests, says its maker.";
/** @type {Watched} */
const her = JSON.parse(document.getElementById("watched")?.textContent ?? "{}");
const place = /** @type {HTMLElement} */ (document.getElementById("watch"));
const sheet = /** @type {HTMLElement} */ (document.getElementById("sheet"));
const text = /** @type {HTMLTextAreaElement | null} */ (sheet.querySelector("textarea[name=run]"));
const KEPT = `hose run ${her.tag}`;
/** @type {any} */
let rules;
/** @type {Units} */
let units;
/** @type {Watch | undefined} */
let watch;
/** @type {Kept | undefined} */
let kept;
/** @type {import("./hose_heat.js").Read[]} */
let drawn = [];
let soonest = 0;
const opened = { at: performance.now(), s: 0 };
/** @type {(() => unknown) | undefined} */
let askAgain;
let pending = false; // she did not fire, and nobody has said yet that the water is off
let endHearing = () => {};
/** @type {ReturnType<typeof setInterval> | undefined} */
let ticking;

if (her.supply && text) begin();

async function begin() {
  rules = await (await fetch("/phone/rules.json")).json();
  units = new Units(rules.units);
  const before = localStorage.getItem(KEPT);
  if (before) return goOn(JSON.parse(before));
  if (her.drained_after !== null && tries(her.tag) >= her.drained_after) return sayNotFired();
  toStart();
}

/** Nothing runs before the start check says so, here and now. */
function toStart() {
  if (askAgain) return askAgain();
  const { start } = her;
  const asked = document.getElementById("asked");
  if (!start || !asked) return;
  const noRun = document.getElementById("no-run");
  const ready = () => {
    noRun?.setAttribute("hidden", "");
    if (!place.hidden) return;
    sheet.hidden = true;
    place.hidden = false;
    if (!document.getElementById("at-the-key")) showBefore(); // what was typed stays
  };
  const not = () => {
    noRun?.removeAttribute("hidden");
    place.hidden = true;
    sheet.hidden = false;
  };
  askAgain = askFirst(asked, start, her.tag, ready, not, () => kept !== undefined || pending);
}

/** Seconds since the start: by a clock that nobody puts right, and by the wall after a reload or a sleep. */
function nowS() {
  const passed = (performance.now() - opened.at) / 1000;
  const wall = (Date.now() - (kept?.startedAt ?? Date.now())) / 1000;
  soonest = Math.max(soonest, opened.s + passed, wall);
  return soonest;
}

// --- before the start ---------------------------------------------------------------

function showBefore() {
  const points = pointsForm(her.limit_c, units, rules.hose.hottest_c);
  const seen = element("input", { type: "checkbox", id: "at-the-key" });
  const tick = element("label", { class: "choice", for: "at-the-key" }, seen, ` ${her.at_the_key}`);
  const says = element("p", { role: "alert" });
  const no = (/** @type {string} */ words) => {
    says.className = "refused";
    says.replaceChildren(words);
  };
  const go = button("Cranking now", async () => {
    if (!seen.checked) return no(`${her.at_the_key}: tick it first. The run does not begin without.`);
    try {
      const lines = points.lines();
      wakeSound();
      go.disabled = true;
      no("No key yet: the yard is asked whether she may start.");
      if (await mayStart()) return startNow(lines);
      says.replaceChildren();
      return toStart();
    } catch (wrong) {
      return no(wrong instanceof Error ? wrong.message : String(wrong));
    } finally {
      go.disabled = false;
    }
  });
  go.className = "main tap";
  place.replaceChildren(element("h2", {}, "Begin"), ...points.parts, tick, says, element("p", {}, KEY), go);
}

/** By what the yard says now, where it answers; else by what it last said, and a look of one's own. */
async function mayStart() {
  if (!her.start) return false;
  await askAnew(her.start);
  const now = await stands(her.start, her.tag);
  return now.mustNot.length + now.asks.length === 0;
}

/** She was cranked and did not fire: the water comes first, and no run was. */
function notFired() {
  localStorage.removeItem(KEPT);
  kept = watch = undefined;
  clearInterval(ticking);
  endHearing();
  soonest = 0;
  keepTries(her.tag, tries(her.tag) + 1);
  voidShortLooks(her.tag);
  sayNotFired();
}

/** What comes first then; nothing else is shown before it is done, also after a reload. */
function sayNotFired() {
  pending = true;
  sheet.hidden = true;
  place.hidden = false;
  showNotFired(place, her.tag, her.not_fired, her.drained_after, () => {
    pending = false;
    document.getElementById("before")?.removeAttribute("hidden");
    place.hidden = true;
    toStart();
  });
}

/** @param {string[]} points what is read, in lines */
function startNow(points) {
  localStorage.setItem(KEPT, JSON.stringify({ startedAt: Date.now(), lines: [`supply ${her.supply}`, ...points], over: "" }));
  beep(660, 0.3);
  goOn(JSON.parse(localStorage.getItem(KEPT) ?? ""));
}

// --- the run ------------------------------------------------------------------------

/** Also after the page was closed in the middle: the lines are gone through again. @param {Kept} before */
function goOn(before) {
  kept = before;
  const points = (kept.lines.find((line) => line.startsWith("points ")) ?? "points head").slice(7).split(", ");
  watch = new Watch({ supply: her.supply, points, runningC: byPoint("running"), limitC: byPoint("limit"), kept: her.kept }, rules.hose);
  drawn = [];
  Object.assign(opened, { at: performance.now(), s: Math.max(0, (Date.now() - kept.startedAt) / 1000) });
  for (const line of kept.lines) doLine(line);
  if (kept.over) return toSheet();
  document.getElementById("asked")?.setAttribute("hidden", "");
  sheet.hidden = true;
  place.hidden = false;
  document.getElementById("before")?.setAttribute("hidden", "");
  showRun(points);
  stayAwake();
  listen(() => kept !== undefined && !kept.over, () => write("no"));
  ticking = setInterval(tick, TICK_MS);
  endHearing = hear(her.tag, points, bySensor, (words) => say("heard", words));
  tick();
}

/** @param {string} point @param {number} tempC @param {number} ageS */
function bySensor(point, tempC, ageS) {
  if (!kept || kept.over || !watch) return;
  if (tempC < rules.hose.coldest_c || tempC > rules.hose.hottest_c) return alarm({ why: `far too hot, or a broken wire: ${point} says ${round(tempC)} °C`, atS: nowS(), point: "", tempC: null });
  if (nowS() > ageS) write(`${point} ${round(tempC)} C`);
}

/** What the first lines say of each point. @param {string} head @returns {Record<string, number>} */
function byPoint(head) {
  const found = (kept?.lines ?? []).map((line) => new RegExp(`^${head} (.+) (-?[\\d.]+) C$`).exec(line));
  return Object.fromEntries(found.flatMap((match) => (match ? [[match[1], Number(match[2])]] : [])));
}

/** @param {string} line */
function doLine(line) {
  const match = /^(\d+):(\d\d(?:\.\d+)?) (.+)$/.exec(line);
  if (!match || !watch) return;
  const atS = 60 * Number(match[1]) + Number(match[2]);
  soonest = Math.max(soonest, atS);
  const what = match[3];
  if (what === "water") watch.waterAtOutlet(atS);
  else if (what === "yes" || what === "no") watch.answered(atS, what === "yes");
  else if (what === "end by hand") watch.endByHand(atS);
  else if (what === "stopped") watch.stopped(atS);
  else {
    const [, point, temp] = /^(.+) (-?[\d.]+) C$/.exec(what) ?? [];
    if (!point) return;
    watch.read(atS, point, Number(temp));
    drawn.push({ atS, point, tempC: Number(temp) });
  }
}

/** Written down on this phone before anything else. @param {string} what */
function write(what) {
  if (!kept) return;
  const tenths = Math.round(nowS() * 10);
  const line = `${Math.floor(tenths / 600)}:${((tenths % 600) / 10).toFixed(1).padStart(4, "0")} ${what}`;
  kept.lines.push(line);
  localStorage.setItem(KEPT, JSON.stringify(kept));
  if (what === "water") keepTries(her.tag, 0);
  doLine(line);
  tick();
}

/** @param {string[]} points */
function showRun(points) {
  const temps = points.map((name) => {
    const input = /** @type {HTMLInputElement} */ (element("input", { type: "text", inputmode: "decimal", "aria-label": `${name}, °C or with its unit` }));
    const says = element("span", { class: "help", role: "status" });
    const read = () => {
      if (!input.value.trim()) return;
      try {
        const { value, echo } = units.read(input.value, "°C", { beside: "°C" });
        if (!(value >= rules.hose.coldest_c && value <= rules.hose.hottest_c))
          throw new Error(`${echo}: no engine is that. Was it °F? Write it with its unit, such as 160 F.`);
        write(`${name} ${round(value)} C`);
        says.replaceChildren(`${echo} at ${minutes(nowS())}`);
        input.value = "";
      } catch (no) {
        says.replaceChildren(no instanceof Error ? no.message : String(no));
      }
    };
    input.addEventListener("keydown", (event) => {
      if (event.key !== "Enter") return;
      event.preventDefault();
      read();
    });
    const keep = button("Read", read);
    const limitC = watch?.rules.limitC[name];
    const holds = limitC === undefined ? "no limit on file" : `not over ${round(limitC)} °C`;
    return element("div", { class: "reads" }, element("b", {}, `${name}, ${holds}`), input, keep, says);
  });
  const yes = button("", () => write(watch?.outletS === null ? "water" : "yes"));
  yes.id = "yes";
  yes.className = "main tap";
  const none = button("Did not fire: water off", notFired);
  none.id = "not-fired";
  none.className = "tap";
  const no = button("No: stop the engine", () => write("no"));
  no.id = "no";
  no.className = "tap stop";
  const hand = button("End by hand", () => write("end by hand"));
  hand.id = "by-hand";
  hand.className = "tap";
  hand.hidden = true;
  const stop = button("The engine is stopped", () => (write("stopped"), over(watch?.ended ?? "stopped before it was warm and steady")));
  stop.id = "stopped";
  stop.className = "tap";
  place.replaceChildren(
    element("p", { id: "end", class: "say", role: "status", hidden: "" }),
    element("p", { id: "question", class: "say", role: "status" }),
    element("p", { id: "clock" }),
    element("p", { class: "help" }, "Keep your eyes on it. Weaker, spitting or steaming counts as No."),
    yes,
    no,
    none,
    element("div", { id: "heat" }),
    element("p", { id: "heard", class: "say", role: "status" }),
    ...temps,
    element("p", { id: "cant-tell", class: "answer unknown", hidden: "" }),
    hand,
    stop,
    element("p", { class: "help" }, compared(points, her.kept, rules.hose.runs)),
  );
}

function tick() {
  if (!watch || !kept || kept.over) return;
  const stands = watch.at(nowS());
  if (stands.alarm) return alarm(stands.alarm);
  if (stands.ended) atItsEnd(stands.ended);
  const asking = watch.outletS === null || stands.askSinceS !== null;
  const by = watch.outletS === null ? rules.hose.outlet_s : (stands.askSinceS ?? 0) + rules.hose.late_s;
  const left = Math.max(0, Math.ceil(by - nowS()));
  say("question", watch.outletS === null ? "Water at the outlet?" : asking ? "Water still coming out?" : "Water was seen.");
  say("clock", `${minutes(nowS())} since ${watch.outletS === null ? "the key" : "the start"}. ${asking ? `${left} s left to answer.` : `Asked again at ${minutes(stands.nextAskS ?? 0)}.`}`);
  say("yes", watch.outletS === null ? "Yes, I see it" : "Yes, water comes");
  const fires = document.getElementById("not-fired");
  if (fires) fires.hidden = watch.outletS !== null;
  const by_hand = document.getElementById("by-hand");
  if (by_hand) by_hand.hidden = !stands.mayEndByHand;
  const dumb = Object.entries(stands.cantTell).map(([name, why]) => `${name}: ${why}. Read the same spot, taped or painted matt, with a second instrument: an infrared thermometer in the hand. Or stop. No hand on a running engine.`);
  const cant = document.getElementById("cant-tell");
  if (cant) cant.hidden = dumb.length === 0;
  say("cant-tell", dumb.join(" "));
  if (asking && left <= 10 && quietMs() > 2000) beep(660, 0.15);
  const heat = document.getElementById("heat");
  if (heat) drawHeat(heat, drawn, watch.rules.limitC);
}

/** It may end: the engine runs still, so it is watched until it stands. @param {string} how */
function atItsEnd(how) {
  const ends = document.getElementById("end");
  if (!ends?.hidden) return;
  ends.hidden = false;
  ends.textContent = `${how[0].toUpperCase()}${how.slice(1)}. Stop the engine. ${rules.hose.ends[her.supply]}`;
  const stopped = document.getElementById("stopped");
  if (stopped) stopped.className = "main tap";
  beep(660, 0.3);
}

/** @param {string} id @param {string} words */
function say(id, words) {
  const here = document.getElementById(id);
  if (here && here.textContent !== words) here.textContent = words;
}

// --- stop ---------------------------------------------------------------------------

/** @param {import("./hose_watch.js").Alarm} why */
function alarm(why) {
  const stopped = { words: "The engine is stopped", deed: () => endAlarm(why.why) };
  const never = { words: "She never fired", deed: notFired }; // it may come while she is cranked still
  const answers = watch?.outletS === null ? [stopped, never] : [stopped];
  showStop(rules.hose.large[why.why] ?? "STOP. Too hot.", stopWords(why, her.supply, rules.hose), answers);
}

/** @param {string} why */
function endAlarm(why) {
  write("stopped");
  locks(her.tag, why);
  voidShortLooks(her.tag);
  over(why);
}

/** @param {string} how */
function over(how) {
  if (!kept || kept.over) return;
  kept.over = how;
  localStorage.setItem(KEPT, JSON.stringify(kept));
  toSheet();
}

function toSheet() {
  if (!kept || !text) return;
  maySleep();
  endHearing();
  document.getElementById("before")?.setAttribute("hidden", "");
  place.hidden = false;
  place.replaceChildren(element("p", { class: "say", role: "status" }, `The run is over: ${kept.over}.`));
  sheet.hidden = false;
  text.value = kept.lines.join("\n");
  text.readOnly = true;
  sheet.scrollIntoView({ block: "start" });
}

document.addEventListener("kept", () => {
  localStorage.removeItem(KEPT); // the outbox has it now
  if (text) text.readOnly = false;
});

/** @param {number} atS */
const minutes = (atS) => `${Math.floor(atS / 60)}:${String(Math.floor(atS % 60)).padStart(2, "0")}`;
