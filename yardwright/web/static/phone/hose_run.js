// The hose run on the phone: asks, listens, draws the heat, and says stop full-screen; all of it with no signal.

import { askFirst, keepTries, showNotFired, stands, tries, voidShortLooks } from "./hose_start.js";
import { hear } from "./hose_heard.js";
import { isHead, sortOf, stopWords, Watch } from "./hose_watch.js";
import { Units } from "./units.js";
import { button, element } from "./words.js";

/** @typedef {{tag: string, supply: string, limit_c: number | null, kept: Record<string, [number, number][][]>,
 *   start: import("./hose_start.js").Start | null, not_fired: string[], drained_after: number | null}} Watched */
/** What is kept while it runs: when it started, by the phone's clock, and its lines.
 * @typedef {{startedAt: number, lines: string[], over: string}} Kept */

const TICK_MS = 250;
const BEEP_MS = 700;
const KEY = "Press it, then turn the key: the count begins here. How long the starter may turn, and how long it rests, says its maker.";
const UNREAD_MS = 1500;
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
/** @type {{atS: number, point: string, tempC: number}[]} */
let drawn = [];
let soonest = 0;
const opened = { at: performance.now(), s: 0 };
let beeped = 0;
/** @type {(() => unknown) | undefined} */
let askAgain;
let pending = false; // she did not fire, and nobody has said yet that the water is off
let endHearing = () => {};
/** @type {ReturnType<typeof setInterval> | undefined} */
let ticking;
/** @type {any} */
let awake;
/** @type {AudioContext | undefined} */
let sound;

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
    showBefore();
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
  const rows = [pointFields(1, "head")];
  const points = element("div", {}, ...rows[0].parts);
  const more = button("Read at one more point", () => {
    rows.push(pointFields(rows.length + 1, ""));
    points.append(...rows[rows.length - 1].parts);
    rows[rows.length - 1].name.focus();
  });
  more.className = "tap";
  const seen = element("input", { type: "checkbox", id: "seen-before" });
  const words = her.supply === "muffs" ? "Water is on and seen at the muffs" : "Somebody stands at the water, ready to open it with the start";
  const tick = element("label", { class: "choice", for: "seen-before" }, seen, ` ${words}`);
  const says = element("p", { role: "alert" });
  const go = button("Cranking now", async () => {
    says.className = "refused";
    const now = her.start ? await stands(her.start, her.tag) : undefined;
    if (!now || now.mustNot.length + now.asks.length) return toStart();
    if (!(seen instanceof HTMLInputElement && seen.checked)) return says.replaceChildren(`${words}: tick it first. The run does not begin without.`);
    try {
      startNow(rows.map(({ name, running, limit }) => [name.value.trim().toLowerCase(), running.value, limit.value]));
    } catch (no) {
      says.replaceChildren(no instanceof Error ? no.message : String(no));
    }
  });
  go.className = "main tap";
  const help = "Points that differ only in port, starboard or a number are compared with each other: head port, head starboard. Read each on a spot with matt tape or black paint, always the same: bare metal reads far too cold.";
  place.replaceChildren(element("h2", {}, "Begin"), element("p", { class: "help" }, help), points, more, tick, says, element("p", {}, KEY), go);
}

/** @param {number} n @param {string} named */
function pointFields(n, named) {
  const at = n === 1 ? "" : `, point ${n}`;
  const name = field(`Point ${n}`, named);
  const running = field(`Her running temperature${at}`, "", "Where her thermostat shows, from the manual: 70 C or 160 F. Nowhere: it ends by hand only.");
  const filed = n === 1 && her.limit_c !== null;
  name.addEventListener("change", () => {
    if (filed && !isHead(name.value) && limit.value === `${her.limit_c} C`) limit.value = ""; // it is her heads'
  });
  const limit = field(`Not over${at}`, filed ? `${her.limit_c} C` : "", filed ? "The limit on file; of each head it counts in any case." : "From the manual, or empty: nothing on file.");
  return { name, running, limit, parts: [name, running, limit].flatMap(labelled) };
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

/** @type {WeakMap<HTMLInputElement, string[]>} */
const told = new WeakMap();

/** @param {string} label @param {string} value @param {string} help */
function field(label, value, help = "") {
  const input = /** @type {HTMLInputElement} */ (element("input", { type: "text", id: label.replace(/\W+/g, "-"), value }));
  told.set(input, [label, help]);
  return input;
}

/** @param {HTMLInputElement} input */
function labelled(input) {
  const [label, help] = told.get(input) ?? ["", ""];
  return [element("label", { for: input.id }, label), ...(help ? [element("span", { class: "help" }, help)] : []), input];
}

/** @param {string} typed */
const celsius = (typed) => units.read(typed, "°C", { beside: "°C" }).value;

/** @param {string} typed */
function inRange(typed) {
  const value = round(celsius(typed));
  if (value < 30 || value > rules.hose.hottest_c) throw new Error(`${value} °C; give 30 to ${rules.hose.hottest_c} °C, or °F with its unit: 160 F.`);
  return value;
}

/** @param {string[][]} points each with its running temperature and its limit, as typed */
function startNow(points) {
  const named = points.filter(([name]) => name);
  if (!named.length) throw new Error("Name at least one point, such as head.");
  const names = named.map(([name]) => name);
  if (new Set(names).size < names.length || names.some((name) => name.includes(","))) throw new Error("Each point has a name of its own, without commas.");
  const lines = [`supply ${her.supply}`];
  for (const [name, running] of named) if (running.trim()) lines.push(`running ${name} ${inRange(running)} C`);
  for (const [name, , typed] of named) {
    const filed = isHead(name) ? her.limit_c : null;
    const limit = typed.trim() ? inRange(typed) : filed;
    if (filed !== null && limit !== null && limit > filed) throw new Error(`On file is ${filed} °C for ${name}: lower it, never raise it.`);
    if (limit !== null) lines.push(`limit ${name} ${limit} C`);
  }
  lines.push(`points ${names.join(", ")}`);
  localStorage.setItem(KEPT, JSON.stringify({ startedAt: Date.now(), lines, over: "" }));
  sound = new AudioContext();
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
  listen();
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
    element("p", { class: "help" }, compared(points)),
  );
}

/** With what each point is compared, in words. @param {string[]} points */
function compared(points) {
  const words = [...new Set(points.map(sortOf))].flatMap((sort) => {
    const alike = points.filter((name) => sortOf(name) === sort);
    const runs = (her.kept[sort] ?? []).length;
    const each = alike.length > 1 ? [`${alike.join(" and ")} are compared with each other.`] : [];
    return runs >= rules.hose.runs ? [...each, `${sort || "These"}: compared with ${runs} of this yard's own runs of such an engine.`] : each;
  });
  return words.length ? words.join(" ") : "No point is compared with another, nor with earlier runs.";
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
  const dumb = Object.entries(stands.cantTell).map(([name, why]) => `${name}: ${why}. Read the same spot, taped or painted matt, with an infrared thermometer, or stop. No hand on a running engine.`);
  const cant = document.getElementById("cant-tell");
  if (cant) cant.hidden = dumb.length === 0;
  say("cant-tell", dumb.join(" "));
  if (asking && left <= 10 && Date.now() - beeped > 2000) beep(660, 0.15);
  draw();
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

/** The heat so far, drawn; the words stand beside it. */
function draw() {
  const here = document.getElementById("heat");
  if (!here || here.dataset.count === String(drawn.length)) return;
  here.dataset.count = String(drawn.length);
  if (!drawn.length) return;
  const long = Math.max(300, drawn[drawn.length - 1].atS);
  const x = (/** @type {number} */ atS) => ((atS / long) * 300).toFixed(1);
  const y = (/** @type {number} */ tempC) => (100 - Math.max(0, Math.min(100, tempC))).toFixed(1);
  const lines = [...new Set(drawn.map((one) => one.point))].map((point, n) => {
    const path = drawn.filter((one) => one.point === point).map((one) => `${x(one.atS)},${y(one.tempC)}`);
    return `<polyline points="${path.join(" ")}" fill="none" stroke="currentColor" stroke-width="1.5"${n ? ` stroke-dasharray="${2 + 2 * n} 2"` : ""}/>`;
  });
  const last = drawn[drawn.length - 1];
  const limit = watch?.rules.limitC[last.point];
  const bar = limit === undefined ? "" : `<line x1="0" x2="300" y1="${y(limit)}" y2="${y(limit)}" stroke="currentColor" stroke-dasharray="1 3"/>`;
  here.innerHTML = `<svg viewBox="0 0 300 100" role="img" aria-label="Heat since the start, 0 to 100 °C">${bar}${lines.join("")}</svg>`;
  here.append(element("p", { class: "ev" }, `Last: ${last.point} ${round(last.tempC)} °C (${round(last.tempC * 1.8 + 32)} °F).${limit === undefined ? "" : ` Dotted: ${last.point} not over ${round(limit)} °C.`}`));
}

// --- stop ---------------------------------------------------------------------------

/** @param {import("./hose_watch.js").Alarm} why */
function alarm(why) {
  let card = document.getElementById("stop");
  if (!card) {
    const [first, ...rest] = stopWords(why, her.supply, rules.hose).split(". ");
    const done = button("The engine is stopped", () => endAlarm(why.why));
    done.className = "tap";
    const never = button("She never fired", () => (closeCard(), notFired()));
    never.className = "tap";
    const buttons = watch?.outletS === null ? [done, never] : [done]; // it may come while she is cranked still
    card = element("div", { id: "stop", role: "alertdialog", "aria-modal": "true", "aria-labelledby": "stop-now" }, element("h2", { id: "stop-now" }, first), element("p", {}, rest.join(". ")), ...buttons);
    document.body.append(card);
    for (const behind of document.body.children) if (behind instanceof HTMLElement) behind.inert = behind !== card;
    for (const one of buttons) one.disabled = true; // a finger that was on its way to another button answers nothing
    setTimeout(() => {
      for (const one of buttons) one.disabled = false;
      done.focus();
    }, UNREAD_MS);
  }
  if (Date.now() - beeped > BEEP_MS) {
    beep(880, 0.5);
    navigator.vibrate?.([400, 150, 400]);
  }
}

/** @param {string} why */
function endAlarm(why) {
  write("stopped");
  voidShortLooks(her.tag);
  closeCard();
  over(why);
}

function closeCard() {
  document.getElementById("stop")?.remove();
  for (const behind of document.body.children) if (behind instanceof HTMLElement) behind.inert = false;
}

/** @param {number} hertz @param {number} forS */
function beep(hertz, forS) {
  beeped = Date.now();
  try {
    sound ??= new AudioContext();
    const tone = sound.createOscillator();
    tone.frequency.value = hertz;
    tone.connect(sound.destination);
    tone.start();
    tone.stop(sound.currentTime + forS);
  } catch {
    // no sound here: the words and the shaking stay
  }
}

/** A phone whose screen goes dark asks nothing. */
async function stayAwake() {
  const wake = async () => {
    if (document.visibilityState === "visible") awake = await navigator.wakeLock?.request("screen").catch(() => undefined);
  };
  document.addEventListener("visibilitychange", wake);
  await wake();
}

/** Trouble by voice, where the browser can; the buttons always work. */
function listen() {
  const Hears = /** @type {any} */ (globalThis).SpeechRecognition ?? /** @type {any} */ (globalThis).webkitSpeechRecognition;
  if (!Hears) return;
  const ears = new Hears();
  Object.assign(ears, { continuous: true, lang: "en-US" });
  ears.onresult = (/** @type {any} */ event) => {
    const heard = event.results[event.results.length - 1][0].transcript.toLowerCase();
    // no spoken word says that water comes, only the button; a word of trouble is believed at once
    if (/\b(no|not|none|nothing|stop\w*|dry|hot|smoke|isn.?t|don.?t|can.?t)\b/.test(heard)) write("no");
  };
  ears.onend = () => kept && !kept.over && ears.start();
  ears.onerror = (/** @type {any} */ no) => no.error === "not-allowed" && (ears.onend = null);
  try {
    ears.start();
  } catch {
    // it hears nothing: the buttons work
  }
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
  awake?.release?.();
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

/** @param {number} number */
const round = (number) => Math.round(number * 10) / 10;

/** @param {number} atS */
const minutes = (atS) => `${Math.floor(atS / 60)}:${String(Math.floor(atS % 60)).padStart(2, "0")}`;
