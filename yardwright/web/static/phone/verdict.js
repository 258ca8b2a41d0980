// What a reading says: the seven rules of procedures/verdict.py in the same words, with no signal needed.

import { below, decidingU, decidingUForRatio, median, ratioAtLeast, resolutionU, robustSlope, within } from "./chance.js";
import { fixed, general, Question, rounded, say, Units } from "./units.js";

/** @typedef {import("./chance.js").Slope} Slope */
/** @typedef {import("./units.js").Plausible} Plausible */
/** @typedef {number | null} Known null is *not known*, *not on file* */
/** @typedef {boolean | number | string} Answer */
/** @typedef {Record<string, Answer>} Answers */
/** @typedef {{value: number, unit: string}} Datum */
/** @typedef {"twin" | "others" | "spread" | "years"} Against */
/** @typedef {{
 *   code: string, question: string, unit?: string, least?: number, most?: number, otherwise?: number,
 *   choices?: string[], otherwise_words?: string, from_limit?: boolean, difference?: boolean, plausible?: Plausible,
 * }} Condition */
/** @typedef {{
 *   code: string, name: string, unit: string, tool: string, values: string, place: string, grave: boolean,
 *   table: string | null, even: boolean, plausible: Plausible,
 *   usual: (Plausible & {condition: string, answer: Answer})[], conditions: Condition[],
 *   moves: {condition: string, thermometer: string, at: number, each: number, shift: number, unit: string} | null,
 *   method_u: Datum | null, bounds: Record<Against, Datum | null>,
 * }} Quantity */
/** @typedef {{
 *   unit: string, source: string, page: string, lower: Known, upper: Known, lowest_over_highest: Known, thin: Known,
 *   u: number, twin: Known, others: Known, years: Known, spread: Known, needs: Record<string, number>,
 * }} Limit */
/** @typedef {{
 *   name: string, unit: string, checked_until: string | null, u: Known, within: Known, within_share: number,
 *   resolution: number,
 * }} Instrument */
/** What was read before. `day` is 2031-05-02, by the yard's clock.
 * @typedef {{values: number[], unit: string, day: string, where: string}} Before */
/** @typedef {Before & {instrument: Instrument | null, conditions: Answers}} Reading */
/** @typedef {{rule: string, verdict: string, words: string, about: string, p: Known, deciding_u: Known}} Reason */
/** @typedef {{verdict: string, reasons: Reason[], unit: string, p: Known, u: number[] | null, limit: Limit | null}} Judgement */
/** The numbers that the server has the rules go by.
 * @typedef {{
 *   units: import("./units.js").Table, quantities: Record<string, Quantity>,
 *   chances: {stop_at: number, sure: number, sure_grave: number, trend_years: number, sure_points: number},
 *   load_test: {
 *     temp_f: number[], least_v: number[], hottest_f: number, f_per_c: number, zero_c_in_f: number,
 *     source: string, page: string,
 *   },
 *   paint: {
 *     magnus_factor: number, magnus_c: number, coldest_c: number, warmest_c: number, above_c: number,
 *     dampest: number, source: string, page: string,
 *   },
 * }} Rules */
/** One reading with all that the rules look at, everything in the reading's unit.
 * @typedef {{
 *   rules: Rules, units: Units, of: Quantity, reading: Reading, unit: string, values: number[], limit: Limit | null,
 *   u: number[] | null, twin: number[] | null, years: Map<number, number[]>, lacks: string[], chances: number[],
 *   even_chance: Known, sure: number, about_value: string, has_even: boolean, least_share: number,
 * }} Case */

const [STOP, CANT_SAY, LOOK_AGAIN, NO_LIMIT, THIN, GOOD] = [
  "Stop",
  "Can't say",
  "Look again",
  "No limit on file",
  "Thin",
  "Good",
];
const WORST_FIRST = [STOP, CANT_SAY, LOOK_AGAIN, NO_LIMIT, THIN, GOOD];
const EVEN = "even";
const ROOT_3 = Math.sqrt(3);

/** @param {Rules} rules @param {Quantity} of @param {Reading} reading @param {Limit | null} filed
 * @param {Before | null} twin @param {Before[]} last_years oldest first; of each year the last counts
 * @returns {Judgement} the worst verdict of all rules, and every reason */
export function judge(rules, of, reading, filed, twin, last_years) {
  const c = caseOf(rules, of, reading, filed, twin, last_years);
  const reasons = [counts, outside, notSure, bounds, noLimit, thin].flatMap((rule) => rule(c));
  reasons.push(...good(c, reasons));
  reasons.sort((one, other) => WORST_FIRST.indexOf(one.verdict) - WORST_FIRST.indexOf(other.verdict));
  const chances = c.even_chance === null ? c.chances : [...c.chances, c.even_chance];
  const p = chances.length ? Math.min(...chances) : null;
  return { verdict: reasons[0].verdict, reasons, unit: c.unit, p, u: c.u, limit: c.limit };
}

/** What it can well be in the state that was told; else what it can be at all.
 * @param {Quantity} of @param {Answers} answers @returns {Plausible} */
export function plausibleWhen(of, answers) {
  return of.usual.find((one) => answers[one.condition] === one.answer) ?? of.plausible;
}

/** The same that day at her one other place: port beside starboard.
 * @param {Before} reading @param {Before[]} before @returns {Before | null} */
export function twinOf(reading, before) {
  if (!reading.where) return null;
  const that_day = before.filter((one) => one.day === reading.day && one.values.length === reading.values.length);
  const others = new Map(that_day.filter((one) => one.where && one.where !== reading.where).map((one) => [one.where, one]));
  return others.size === 1 ? [...others.values()][0] : null;
}

// --- the rules ------------------------------------------------------------------------------------------------

/** A condition is not met, or the instrument is past its check or unknown: Can't say.
 * @param {Case} c @returns {Reason[]} */
const counts = (c) => c.lacks.map((words) => reason("does the reading count", CANT_SAY, words));

/** Within the limits with a chance of 0.05 or less: Stop.
 * @param {Case} c @returns {Reason[]} */
function outside(c) {
  const { stop_at } = c.rules.chances;
  const rule = "outside the limit";
  const found = c.chances.flatMap((p, place) =>
    p <= stop_at ? [reason(rule, STOP, againstLimit(c, place), c.about_value, p)] : [],
  );
  if (c.even_chance !== null && c.even_chance <= stop_at) found.push(reason(rule, STOP, even(c), EVEN, c.even_chance));
  return found;
}

/** Within the limits with less than the chance that is asked for: Can't say, and what would decide.
 * @param {Case} c @returns {Reason[]} */
function notSure(c) {
  const { stop_at } = c.rules.chances;
  const rule = "sure enough";
  const unsure = (/** @type {number} */ place, /** @type {Known} */ p) => {
    const decides = decidingUOf(c, place);
    return reason(rule, CANT_SAY, `${againstLimit(c, place)} ${needs(c, decides)}`, c.about_value, p, decides);
  };
  const found = c.chances.flatMap((p, place) => (stop_at < p && p < c.sure ? [unsure(place, p)] : []));
  if (c.u === null && hasValue(c.limit)) found.push(unsure(least(c.values.map((value) => Math.abs(marginOf(c, value)))), null));
  const p = c.even_chance;
  if (p !== null && stop_at < p && p < c.sure) {
    const decides = evenDecidingU(c);
    found.push(reason(rule, CANT_SAY, `${even(c)} ${toolNeeds(c, decides)}`, EVEN, p, decides));
  }
  return found;
}

/** @type {[Against, string, (c: Case, place: number) => Known][]} */
const AGAINST = [
  ["twin", "its twin", twins],
  ["others", "the others", (c, place) => middle(rest(c.values, place))],
  ["spread", "the highest", highest],
  ["years", "its last years", (c, place) => middle([...c.years.values()].map((values) => values[place]))],
];

/** Out of its own bounds against its twin, the others or its last years: Look again.
 * @param {Case} c @returns {Reason[]} */
function bounds(c) {
  return AGAINST.flatMap(([name, words, against]) => {
    const bound = boundOf(c, name);
    if (bound === null) return [];
    return c.values.flatMap((value, place) => {
      const other = against(c, place);
      if (other === null || Number(Math.abs(value - other).toFixed(9)) <= bound) return [];
      const by = `${sayIn(c, Math.abs(value - other))} ${value > other ? "over" : "under"} ${words}`;
      return [reason("its own bounds", LOOK_AGAIN, `${told(c, place)}, ${by}; ${sayIn(c, bound)} is the most.`)];
    });
  });
}

/** No limit, and none by a table: No limit on file, never green.
 * @param {Case} c @returns {Reason[]} */
function noLimit(c) {
  const missing = (/** @type {string} */ about) => {
    const what = about === EVEN ? ", lowest over highest" : about && `, ${about}`;
    const words = `${c.of.name}${what}: no limit on file. Enter the manual's value and its page.`;
    return reason("a limit on file", NO_LIMIT, words, about);
  };
  return [
    ...(!hasValue(c.limit) && c.of.table === null ? [missing(c.about_value)] : []),
    ...(c.has_even && !c.least_share ? [missing(EVEN)] : []),
  ];
}

/** The margin is under the thin margin on file, or the trend is through the limit in a season.
 * @param {Case} c @returns {Reason[]} */
function thin(c) {
  const { limit } = c;
  if (!hasValue(limit)) return [];
  return c.values.flatMap((value, place) => {
    const margin = marginOf(c, value);
    if (margin < 0) return [];
    const says = (/** @type {string} */ words) => reason("margin and trend", THIN, `${told(c, place)}, ${words}`, c.about_value);
    const found = [];
    if (limit.thin !== null && margin < limit.thin)
      found.push(says(`${sayIn(c, margin)} within the limit, ${limitWords(c)}; ${sayIn(c, limit.thin)} is wanted.`));
    const change = changeAYear(c, place);
    if (change && marginOf(c, value + pace(c, value, change)) < 0) found.push(says(onItsWay(c, change)));
    return found;
  });
}

/** What one more year brings: the steep end of a decline that is proven, else the middle.
 * @param {Case} c @param {number} value @param {Slope} change */
function pace(c, value, change) {
  const ends = [change.low, change.high];
  const nearer = ends.every((end) => marginOf(c, value + end) < marginOf(c, value));
  const proven = change.sure && change.low * change.high > 0 && nearer;
  return proven ? ends[least(ends.map((end) => marginOf(c, value + end)))] : change.middle;
}

/** Nothing against it: Good.
 * @param {Case} c @param {Reason[]} against @returns {Reason[]} */
function good(c, against) {
  const taken = new Set(against.map((one) => one.about));
  const rule = "nothing against it";
  if (taken.has("")) return [];
  const found = [];
  if (!taken.has(c.about_value)) {
    const place = nearest(c);
    found.push(reason(rule, GOOD, againstLimit(c, place), c.about_value, c.chances[place]));
  }
  if (c.has_even && !taken.has(EVEN)) found.push(reason(rule, GOOD, even(c), EVEN, c.even_chance));
  return found;
}

/** @param {string} rule @param {string} verdict @param {string} words @returns {Reason} */
function reason(rule, verdict, words, about = "", /** @type {Known} */ p = null, /** @type {Known} */ deciding_u = null) {
  return { rule, verdict, words, about, p, deciding_u };
}

// --- the sentences --------------------------------------------------------------------------------------------

/** @param {Case} c @param {number} value */
const sayIn = (c, value) => say(value, c.unit, 4);

/** @param {Case} c @param {number} place */
function told(c, place) {
  const named = [c.of.place && `${c.of.place} ${place + 1}`, c.reading.where].filter(Boolean).join(", ");
  return named ? `${named}: ${sayIn(c, c.values[place])}` : sayIn(c, c.values[place]);
}

/** @param {Case} c */
function limitWords(c) {
  const { lower = null, upper = null } = c.limit ?? {};
  if (lower !== null && upper !== null) return `${sayIn(c, lower)} to ${sayIn(c, upper)}`;
  if (lower !== null) return `at least ${sayIn(c, lower)}`;
  return upper === null ? "not on file" : `at most ${sayIn(c, upper)}`;
}

/** @param {Case} c @param {number} place */
const againstLimit = (c, place) => `${told(c, place)}. The limit is ${limitWords(c)}.`;

/** @param {Case} c */
function even(c) {
  const [low, high] = [Math.min(...c.values), Math.max(...c.values)];
  const share = `${fixed(low / high, 3)} of the highest, ${sayIn(c, high)}`;
  return `${told(c, c.values.indexOf(low))}, ${share}; ${fixed(c.least_share, 2)} is the least.`;
}

/** @param {Case} c @param {Slope} change */
function onItsWay(c, change) {
  const by = (/** @type {number} */ a_year) => `${a_year > 0 ? "+" : ""}${say(a_year, c.unit)}`;
  const each_year = `${say(Math.abs(change.middle), c.unit)} ${change.middle > 0 ? "more" : "less"} each year`;
  const each = `${by(change.low)} to ${by(change.high)}`;
  const how = change.sure ? `95 % sure: ${each}` : `from one pair of years to another: ${each}`;
  return `${each_year} (${how}): through the limit within a season.`;
}

/** @param {Case} c @param {number} decides */
function needs(c, decides) {
  const besides = c.limit?.u ?? 0;
  if (0 < decides && decides <= besides) {
    const closer = c.of.table || c.of.moves ? " Measure the temperature closer." : "";
    const known = say(rounded(besides, 2), c.unit);
    return `Not sure enough: the limit itself is known to ${known} only.${closer}`;
  }
  return toolNeeds(c, decides ? Math.sqrt(decides ** 2 - besides ** 2) : 0);
}

/** The tool's part of what would decide, rounded down to two digits.
 * @param {Case} c @param {number} decides */
function toolNeeds(c, decides) {
  const { tool } = c.of;
  const besides = methodU(c.units, c.of, c.unit);
  if (decides === 0) return `Not sure enough: it stands on the limit itself, and no ${tool} decides that.`;
  if (decides <= besides) return `Not sure enough, and no ${tool} decides it: this way of measuring is too coarse.`;
  const tool_u = Math.sqrt(decides ** 2 - besides ** 2);
  const digit = 10 ** (Math.floor(Math.log10(tool_u)) - 1);
  return `Not sure enough: needs a ${tool} good to ${sayIn(c, Math.floor(tool_u / digit) * digit)}.`;
}

// --- the case -------------------------------------------------------------------------------------------------

/** @param {Rules} rules @param {Quantity} of @param {Reading} reading @param {Limit | null} filed
 * @param {Before | null} twin @param {Before[]} last_years @returns {Case} */
function caseOf(rules, of, reading, filed, twin, last_years) {
  const units = new Units(rules.units);
  const { unit, values } = reading;
  const [found, no_table] = limitFor(rules, units, of, reading, filed);
  const limit = found && inUnit(units, found, unit);
  const tool_u = readingU(units, of, reading);
  const u = tool_u && limit?.u ? tool_u.map((one) => Math.hypot(one, limit.u)) : tool_u;
  const [even_chance, too_coarse] = evenChance(rules, reading, limit, tool_u);
  const lacks = [...lacksOf(of, reading, limit, tool_u), no_table, too_coarse].filter(Boolean);
  const chances = u && hasValue(limit) ? values.map((value, at) => within(value, u[at], limit.lower, limit.upper)) : [];
  return {
    rules,
    units,
    of,
    reading,
    unit,
    values,
    limit,
    u,
    twin: twin && valuesIn(units, twin, unit),
    years: byYear(units, reading, last_years),
    lacks,
    chances,
    even_chance,
    sure: of.grave ? rules.chances.sure_grave : rules.chances.sure,
    about_value: of.even ? units.kind(of.unit) : "",
    has_even: of.even && values.length > 1,
    least_share: limit?.lowest_over_highest ?? 0,
  };
}

/** @param {Limit | null} limit @returns {limit is Limit} */
const hasValue = (limit) => limit !== null && (limit.lower !== null || limit.upper !== null);

/** How far a value is within the nearest limit; negative outside.
 * @param {Case} c @param {number} value */
function marginOf(c, value) {
  const { lower = null, upper = null } = c.limit ?? {};
  return Math.min(lower === null ? Infinity : value - lower, upper === null ? Infinity : upper - value);
}

/** @param {Case} c */
function nearest(c) {
  const least_chance = Math.min(...c.chances);
  return least(c.values.map((value, place) => (c.chances[place] === least_chance ? marginOf(c, value) : Infinity)));
}

/** @param {Case} c @param {number} place */
function decidingUOf(c, place) {
  const { lower = null, upper = null } = c.limit ?? {};
  const chance = marginOf(c, c.values[place]) >= 0 ? c.sure : 1 - c.rules.chances.stop_at;
  return decidingU(c.values[place], lower, upper, chance);
}

/** @param {Case} c */
function evenDecidingU(c) {
  const holds = Math.min(...c.values) >= c.least_share * Math.max(...c.values);
  return decidingUForRatio(c.values, c.least_share, holds ? c.sure : 1 - c.rules.chances.stop_at);
}

/** A bound in the reading's unit: the one on file, else the quantity's own.
 * @param {Case} c @param {Against} name @returns {Known} */
function boundOf(c, name) {
  const filed = c.limit?.[name] ?? null;
  const own = c.of.bounds[name];
  return filed !== null || own === null ? filed : c.units.difference(own.value, own.unit, c.unit);
}

/** The twin's value, unless it is the twin that strays from its own others.
 * @param {Case} c @param {number} place @returns {Known} */
function twins(c, place) {
  return c.twin === null || strays(c.values, place) < strays(c.twin, place) ? null : c.twin[place];
}

/** The highest of all, for the lowest of them.
 * @param {Case} c @param {number} place @returns {Known} */
function highest(c, place) {
  return c.values.length > 1 && place === least(c.values) ? Math.max(...c.values) : null;
}

/** @param {number[]} values @param {number} place */
function strays(values, place) {
  const others = rest(values, place);
  return others.length ? Math.abs(values[place] - median(others)) : 0;
}

/** @param {number[]} values @param {number} place */
const rest = (values, place) => values.filter((_, at) => at !== place);

/** @param {number[]} values @returns {Known} */
const middle = (values) => (values.length ? median(values) : null);

/** Where the least stands.
 * @param {number[]} values */
const least = (values) => values.indexOf(Math.min(...values));

/** How it changes from year to year; null of too few years.
 * @param {Case} c @param {number} place @returns {Slope | null} */
function changeAYear(c, place) {
  const { trend_years, sure_points } = c.rules.chances;
  if (c.years.size < trend_years - 1) return null;
  const years = [...c.years.keys(), yearOf(c.reading)];
  const values = [...[...c.years.values()].map((one) => one[place]), c.values[place]];
  return robustSlope(years, values, sure_points);
}

/** @param {Before} reading */
const yearOf = (reading) => Number(reading.day.slice(0, 4));

/** The last of each earlier year, oldest first.
 * @param {Units} units @param {Reading} reading @param {Before[]} last_years */
function byYear(units, reading, last_years) {
  const earlier = last_years.filter(
    (one) => yearOf(one) < yearOf(reading) && one.values.length === reading.values.length,
  );
  const latest = new Map(earlier.map((one) => [yearOf(one), valuesIn(units, one, reading.unit)]));
  return new Map([...latest].sort(([one], [other]) => one - other));
}

/** @param {Units} units @param {Before} reading @param {string} unit */
const valuesIn = (units, reading, unit) => reading.values.map((value) => units.convert(value, reading.unit, unit));

/** @param {Units} units @param {Quantity} of @param {string} unit */
const methodU = (units, of, unit) => (of.method_u ? units.difference(of.method_u.value, of.method_u.unit, unit) : 0);

/** @param {Units} units @param {Limit} limit @param {string} unit @returns {Limit} */
function inUnit(units, limit, unit) {
  const value = (/** @type {Known} */ one) => (one === null ? null : units.convert(one, limit.unit, unit));
  const apart = (/** @type {Known} */ one) => (one === null ? null : units.difference(one, limit.unit, unit));
  return {
    ...limit,
    unit,
    lower: value(limit.lower),
    upper: value(limit.upper),
    thin: apart(limit.thin),
    u: units.difference(limit.u, limit.unit, unit),
    twin: apart(limit.twin),
    others: apart(limit.others),
    years: apart(limit.years),
    spread: apart(limit.spread),
  };
}

/** @param {Units} units @param {Quantity} of @param {Reading} reading @returns {number[] | null} */
function readingU(units, of, reading) {
  const { instrument, unit } = reading;
  if (!instrument) return null;
  const known = valuesIn(units, reading, instrument.unit).map((value) => instrumentU(instrument, value));
  const besides = methodU(units, of, unit);
  const all = known.filter((u) => u !== null).map((u) => Math.hypot(units.difference(u, instrument.unit, unit), besides));
  return all.length === known.length ? all : null;
}

/** @param {Instrument} instrument @param {number} value @returns {Known} */
function instrumentU(instrument, value) {
  const display = instrument.resolution ? resolutionU(instrument.resolution) : 0;
  if (instrument.u !== null) return Math.hypot(instrument.u, display);
  if (instrument.within === null && !instrument.within_share) return null;
  return Math.hypot(((instrument.within ?? 0) + instrument.within_share * Math.abs(value)) / ROOT_3, display);
}

/** @param {Quantity} of @param {Reading} reading @param {Limit | null} limit @param {number[] | null} u
 * @returns {Generator<string, void>} */
function* lacksOf(of, reading, limit, u) {
  for (const one of of.conditions) yield lacksCondition(one, reading.conditions, limit && limit.needs);
  const { instrument } = reading;
  if (!instrument) {
    yield `Not told: which ${of.tool} was it read with?`;
    return;
  }
  const { name, checked_until } = instrument;
  if (checked_until === null) yield `Not told: until when does the check of ${name} hold?`;
  else if (checked_until < reading.day) yield `${name} is past its check, which held until ${checked_until}.`;
  if (u === null) yield `Not told: how far off can ${name} be?`;
}

/** What is missing; empty if nothing is.
 * @param {Condition} one @param {Answers} answers @param {Record<string, number> | null} needs_of */
function lacksCondition(one, answers, needs_of) {
  const answer = answers[one.code] ?? one.otherwise ?? null;
  if (answer === null) return `Not told: ${one.question}`;
  if (one.unit) return lacksNumber(one, Number(answer), needs_of);
  if (one.choices) return one.choices.includes(String(answer)) ? "" : `It is ${answer}: ${one.otherwise_words ?? ""}.`;
  return answer === true ? "" : `${one.question} No. ${one.otherwise_words ?? ""}`.trim();
}

/** @param {Condition} one @param {number} answer @param {Record<string, number> | null} needs_of */
function lacksNumber(one, answer, needs_of) {
  const unit = one.unit ?? "";
  const says = `${one.question} ${say(answer, unit)};`;
  if (one.from_limit && needs_of && !Object.hasOwn(needs_of, one.code))
    return `${says} the limit on file doesn't say how many it asks for.`;
  const at_least = needs_of?.[one.code] ?? one.least ?? answer;
  const at_most = one.most ?? answer;
  if (at_least <= answer && answer <= at_most) return "";
  return `${says} ${say(answer < at_least ? at_least : at_most, unit)} is asked for.`;
}

/** The chance of "lowest over highest", or why this gauge can't tell it.
 * @param {Rules} rules @param {Reading} reading @param {Limit | null} limit @param {number[] | null} u
 * @returns {[Known, string]} */
function evenChance(rules, reading, limit, u) {
  const { values, unit } = reading;
  const ratio = limit?.lowest_over_highest ?? null;
  if (ratio === null || u === null || values.length < 2) return [null, ""];
  const most_u = Math.max(...u);
  const [low, high] = [Math.min(...values), Math.max(...values)];
  if (low >= 5 * most_u) return [ratioAtLeast(values, most_u, ratio), ""];
  // A dead cylinder: the pair of lowest and highest alone says how small the chance is at most.
  const at_most = below((low - ratio * high) / (most_u * Math.hypot(1, ratio)));
  if (at_most <= rules.chances.stop_at) return [at_most, ""];
  return [null, `${say(low, unit)} is too little for this gauge to compare.`];
}

// --- limits that move with a temperature ----------------------------------------------------------------------

/** The limit on file at the temperature told, else the table's; and why it gives none.
 * @param {Rules} rules @param {Units} units @param {Quantity} of @param {Reading} reading @param {Limit | null} filed
 * @returns {[Limit | null, string]} */
function limitFor(rules, units, of, reading, filed) {
  const { conditions } = reading;
  if (of.table === "dew point") return orWhyNot(filed, () => dewPointLimit(rules, units, of, conditions, filed));
  if (hasValue(filed)) return [moved(units, of, conditions, filed), ""];
  if (of.table === "load test") return orWhyNot(filed, () => loadTestLimit(rules, units, of, conditions, filed));
  return [filed, ""];
}

/** @param {Limit | null} filed @param {() => [Limit | null, string]} found @returns {[Limit | null, string]} */
function orWhyNot(filed, found) {
  try {
    return found();
  } catch (outside_table) {
    if (outside_table instanceof Question) return [filed, outside_table.message];
    throw outside_table;
  }
}

/** @param {Quantity} of @param {Answers} answers @param {string} code @returns {Known} */
function numberTold(of, answers, code) {
  const answer = answers[code] ?? of.conditions.find((one) => one.code === code)?.otherwise ?? null;
  return answer === null ? null : Number(answer);
}

/** @param {Quantity} of @param {string} code */
const unitOf = (of, code) => of.conditions.find((one) => one.code === code)?.unit ?? "";

/** @param {Units} units @param {Quantity} of @param {Answers} answers @param {Limit} filed @returns {Limit} */
function moved(units, of, answers, filed) {
  const { moves } = of;
  if (!moves || !Object.hasOwn(answers, moves.condition)) return filed; // the condition itself says so
  const { condition, thermometer } = moves;
  const temp = numberTold(of, answers, condition) ?? 0;
  const above = units.convert(temp, unitOf(of, condition), moves.unit) - moves.at;
  const off = units.difference(numberTold(of, answers, thermometer) ?? 0, unitOf(of, thermometer), moves.unit);
  const slope = moves.shift / moves.each;
  const limit = inUnit(units, filed, of.unit);
  return {
    ...limit,
    lower: limit.lower === null ? null : limit.lower + slope * above,
    upper: limit.upper === null ? null : limit.upper + slope * above,
    u: Math.hypot(limit.u, (Math.abs(slope) * off) / ROOT_3),
  };
}

/** @param {string} unit @param {{source: string, page: string}} row @returns {Limit} */
function emptyLimit(unit, { source, page }) {
  const none = { lower: null, upper: null, lowest_over_highest: null, thin: null };
  return { unit, source, page, ...none, u: 0, twin: null, others: null, years: null, spread: null, needs: {} };
}

/** @param {Rules} rules @param {Units} units @param {Quantity} of @param {Answers} answers @param {Limit | null} filed
 * @returns {[Limit | null, string]} */
function loadTestLimit(rules, units, of, answers, filed) {
  const temp_c = numberTold(of, answers, "battery_temp_c");
  if (temp_c === null) return [filed, ""]; // the condition itself says so
  const row = rules.load_test;
  const [lower, slope] = loadTestAt(row, temp_c);
  const base = filed ? inUnit(units, filed, "V") : emptyLimit("V", row);
  const u = Math.hypot(base.u, (slope * (numberTold(of, answers, "thermometer_within_c") ?? 0)) / ROOT_3);
  return [{ ...base, source: row.source, page: row.page, lower, u }, ""];
}

/** Least volts, and how they move with a °C: on a row, where two lines meet, the steeper of them.
 * @param {Rules["load_test"]} row @param {number} temp_c @returns {[number, number]} */
function loadTestAt({ temp_f, least_v, hottest_f, f_per_c, zero_c_in_f }, temp_c) {
  const at_f = Number((temp_c * f_per_c + zero_c_in_f).toFixed(6));
  const last = temp_f.length - 1;
  const is = `battery is at ${general(temp_c, 3)} °C (${general(at_f, 3)} °F)`;
  if (at_f < temp_f[0]) throw new Question(`${is}; warm it first: the load-test table ends at ${general(temp_f[0])} °F.`);
  if (!(at_f <= hottest_f)) throw new Question(`${is}; let it cool, and test it below ${general(hottest_f)} °F.`);
  if (at_f > temp_f[last]) return [least_v[last], 0];
  const steps = [...Array(last).keys()].filter((at) => temp_f[at] <= at_f && at_f <= temp_f[at + 1]);
  const slopes = steps.map((at) => (least_v[at + 1] - least_v[at]) / (temp_f[at + 1] - temp_f[at]));
  return [least_v[steps[0]] + (at_f - temp_f[steps[0]]) * slopes[0], Math.max(...slopes) * f_per_c];
}

/** The dew point and a margin, or the paint's own sheet where that asks for more.
 * @param {Rules} rules @param {Units} units @param {Quantity} of @param {Answers} answers @param {Limit | null} filed
 * @returns {[Limit | null, string]} */
function dewPointLimit({ paint }, units, of, answers, filed) {
  const by = ["air_temp_c", "air_within_c", "humidity", "humidity_within"].map((code) => numberTold(of, answers, code));
  const [air_c, air_within_c, humidity, humidity_within] = by;
  if (air_c === null || air_within_c === null || humidity === null || humidity_within === null) return [filed, ""];
  if (humidity >= paint.dampest)
    return [filed, `Humidity is ${say(humidity, "%")}; it must be under ${say(paint.dampest, "%")}.`];
  const base = filed ? inUnit(units, filed, "°C") : emptyLimit("°C", paint);
  const lower = dewPoint(paint, air_c, humidity) + paint.above_c;
  const by_air = dewPoint(paint, air_c + air_within_c, humidity) + paint.above_c - lower;
  const by_humidity = dewPoint(paint, air_c, humidity + humidity_within) + paint.above_c - lower;
  if (base.lower !== null && base.lower >= lower) return [base, ""];
  if (base.upper !== null && base.upper <= lower)
    return [base, `Too damp: ${say(lower, "°C")} is the least, ${say(base.upper, "°C")} the most.`];
  const u = Math.hypot(base.u, by_air / ROOT_3, by_humidity / ROOT_3);
  return [{ ...base, source: paint.source, page: paint.page, lower, u }, ""];
}

/** @param {Rules["paint"]} paint @param {number} air_c @param {number} humidity */
function dewPoint(paint, air_c, humidity) {
  if (!(paint.coldest_c <= air_c && air_c <= paint.warmest_c))
    throw new Question(`air is ${point(air_c)} °C; give ${general(paint.coldest_c)} to ${general(paint.warmest_c)}.`);
  if (!(1 <= humidity && humidity <= 100)) throw new Question(`humidity is ${point(humidity)} %; give 1 to 100.`);
  const g = Math.log(humidity / 100) + (paint.magnus_factor * air_c) / (paint.magnus_c + air_c);
  return (paint.magnus_c * g) / (paint.magnus_factor - g);
}

/** A number as the server writes it: 45.0.
 * @param {number} value */
const point = (value) => (Number.isInteger(value) ? value.toFixed(1) : String(value));
