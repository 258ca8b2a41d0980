// The watch over a hose run on the phone: the rules of procedures/hose_watch.py in the same words, no signal needed.

/** @typedef {number | null} Known null is *not known*, *not on file* */
/** @typedef {{why: string, atS: number, point: string, tempC: Known}} Alarm */
/** Numbers and words as the server has them.
 * @typedef {Record<string, number> & {why: Record<string, string>, large: Record<string, string>, then: Record<string, string>, ends: Record<string, string>}} Numbers */
/** @typedef {{
 *   supply: string, points: string[], runningC: Record<string, number>, limitC: Record<string, number>,
 *   kept: Record<string, [number, number][][]>,
 * }} Rules */
/** @typedef {{
 *   alarm: Alarm | null, askSinceS: Known, nextAskS: Known, ended: string | null, mayEndByHand: boolean,
 *   cantTell: Record<string, string>,
 * }} Standing */

export const PLATEAU = "ran, warm and steady";
export const BY_HAND = "ran, water steady, thermostat not seen open";

/** What is read at a point: its name without side and number; others of its sort should be as warm. @param {string} point */
export const sortOf = (point) => (point.toLowerCase().match(/\p{L}+/gu) ?? []).filter((word) => !SIDES.includes(word)).join(" ");

const SIDES = ["port", "starboard", "stbd", "sb", "p", "s", "left", "right"];
const HEADS = ["head", "heads", "cylinder", "cylinders", "cyl", "thermostat"];

/** Whether the limit and the thermostat of her heads are meant: it names a head, or nothing. @param {string} point */
export const isHead = (point) => {
  const words = sortOf(point).split(" ").filter(Boolean);
  return !words.length || words.some((word) => HEADS.includes(word));
};

/** One run, fed in the order of time; times are seconds since the engine's start. */
export class Watch {
  /** @param {Rules} rules @param {Numbers} numbers */
  constructor(rules, numbers) {
    this.rules = rules;
    this.n = numbers;
    /** @type {Known} */
    this.outletS = null;
    this.answeredS = 0;
    /** @type {Alarm | null} */
    this.alarm = null;
    /** @type {string | null} */
    this.ended = null;
    /** @type {Known} */
    this.stoppedS = null;
    /** @type {Map<string, Point>} */
    this.points = new Map(rules.points.map((name) => [name, new Point(numbers)]));
  }

  /** Water is seen at the telltale or exhaust. @param {number} atS */
  waterAtOutlet(atS) {
    this.upTo(atS);
    if (this.outletS !== null) return;
    this.outletS = atS;
    this.answeredS = Math.max(this.answeredS, atS);
  }

  /** Somebody answers whether water is still coming out. @param {number} atS @param {boolean} comingOut */
  answered(atS, comingOut) {
    this.upTo(atS);
    if (!comingOut) this.stop("water_stopped", atS);
    else if (this.outletS === null) this.waterAtOutlet(atS);
    else this.answeredS = atS;
  }

  /** A temperature at a named point. @param {number} atS @param {string} name @param {number} tempC */
  read(atS, name, tempC) {
    const here = this.points.get(name);
    if (!here) throw new Error(`No point ${name}.`);
    if (!(tempC >= this.n.coldest_c && tempC <= this.n.hottest_c))
      throw new Error(`${tempC} °C; an engine is ${this.n.coldest_c} to ${this.n.hottest_c} °C.`);
    this.upTo(atS);
    const left = here.take(atS, tempC);
    const over = this.over(here, name, tempC);
    if (over) this.stop(over, atS, name, tempC);
    if (left) this.stop("left_warm_up", atS, name, tempC);
    if (this.unlike(here, name)) this.stop("unlike_its_runs", atS, name, tempC);
    if (this.apart(here, name, atS)) this.stop("drifting", atS, name, tempC);
    if (this.goesOn && this.flat(atS)) this.ended = PLATEAU;
  }

  /** The engine stands still: nothing is asked any more, and what is read is no alarm. @param {number} atS */
  stopped(atS) {
    this.upTo(atS);
    this.stoppedS ??= atS;
  }

  get goesOn() {
    return !this.alarm && this.stoppedS === null;
  }

  /** It ran long enough, and no thermostat was seen to open. @param {number} atS */
  endByHand(atS) {
    this.upTo(atS);
    if (this.alarm || atS < this.n.by_hand_s || this.outletS === null) return;
    this.ended ??= BY_HAND;
  }

  /** How it stands now; ask at least each second. @param {number} nowS @returns {Standing} */
  at(nowS) {
    this.upTo(nowS);
    const due = this.due();
    const seen = this.goesOn && this.outletS !== null;
    const asking = seen && nowS >= due;
    return {
      alarm: this.alarm,
      askSinceS: asking ? due : null,
      nextAskS: seen && !asking ? due : null,
      ended: this.ended,
      mayEndByHand: seen && this.ended === null && nowS >= this.n.by_hand_s,
      cantTell: Object.fromEntries(
        [...this.points].map(([name, one]) => [name, one.cantTell(nowS)]).filter(([, why]) => why),
      ),
    };
  }

  /** What was not seen or answered by now. @param {number} nowS */
  upTo(nowS) {
    if (this.outletS === null) {
      if (nowS > this.n.outlet_s) this.stop("no_water", this.n.outlet_s);
    } else if (nowS >= this.due() + this.n.late_s) this.stop("no_answer", this.due() + this.n.late_s);
  }

  /** When the next question comes: on the half minute, after three minutes on the minute. */
  due() {
    const { ask_s, ask_later_s, often_s } = this.n;
    const next = (Math.floor(this.answeredS / ask_s) + 1) * ask_s;
    return next > often_s ? Math.max((Math.floor(this.answeredS / ask_later_s) + 1) * ask_later_s, often_s) : next;
  }

  /** @param {string} why @param {number} atS @param {string} point @param {Known} tempC */
  stop(why, atS, point = "", tempC = null) {
    if (!this.goesOn) return;
    this.alarm = { why: this.n.why[why], atS, point, tempC };
    this.ended = null;
  }

  /** @param {Point} here @param {string} name @param {number} tempC @returns {string | null} */
  over(here, name, tempC) {
    const limitC = this.rules.limitC[name];
    if (limitC !== undefined && tempC >= limitC) return "over_limit";
    const last = here.temps.slice(-2);
    const runningC = this.rules.runningC[name];
    return runningC !== undefined && last.length > 1 && (last[0] + last[1]) / 2 > runningC + this.n.over_c
      ? "over_running"
      : null;
  }

  /** Two readings in a row hotter than the yard's own runs were at that minute. @param {Point} here @param {string} name */
  unlike(here, name) {
    const kept = this.rules.kept[sortOf(name)] ?? [];
    if (kept.length < this.n.runs || here.temps.length < 2) return false;
    return [-2, -1].every((n) => hotterThan(kept, here.times.at(n) ?? 0, here.temps.at(n) ?? 0, this.n));
  }

  /** Twice in a row hotter than others of its sort, each compared at its own minute.
   * @param {Point} here @param {string} name @param {number} atS */
  apart(here, name, atS) {
    const over = [];
    for (const [other, one] of this.points) {
      const lastS = one.times.at(-1);
      if (other === name || sortOf(other) !== sortOf(name) || lastS === undefined || atS - lastS > 2 * this.n.mean_s) continue;
      const mine = here.at(lastS);
      if (mine !== null) over.push(mine - (one.temps.at(-1) ?? 0));
    }
    here.apart = over.length && sum(over) / over.length >= this.n.apart_c ? here.apart + 1 : 0;
    return here.apart > 1;
  }

  /** Its running temperature wherever it shows, and all hardly changing for three minutes. @param {number} atS */
  flat(atS) {
    const { runningC } = this.rules;
    if (!Object.keys(runningC).some(isHead)) return false; // a warm elbow proves no thermostat
    return [...this.points].every(([name, one]) => {
      const nowC = one.mean(atS);
      const beforeC = one.mean(atS - this.n.flat_s);
      return (
        !one.cantTell(atS) && // a dead gauge looks like a plateau
        nowC !== null &&
        beforeC !== null &&
        Math.abs(nowC - beforeC) < this.n.flat_c &&
        nowC >= (runningC[name] ?? nowC) - this.n.flat_c
      );
    });
  }
}

/** The readings at one point, and the warm-up fitted to the last of them. */
class Point {
  /** @param {Numbers} numbers */
  constructor(numbers) {
    this.n = numbers;
    /** @type {number[]} */
    this.times = [];
    /** @type {number[]} */
    this.temps = [];
    /** @type {{t: number, x: number, c: number}[]} */
    this.fitted = [];
    this.sum = 0;
    this.apart = 0;
    /** @type {Known} */
    this.coldSinceS = null;
  }

  /** One reading; whether it and those before it left the healthy warm-up. @param {number} atS @param {number} tempC */
  take(atS, tempC) {
    this.times.push(atS);
    this.temps.push(tempC);
    const off = this.off(atS, tempC);
    if (off === null) {
      this.fit(atS, tempC);
      return false;
    }
    this.sum = Math.max(0, this.sum + off - this.n.care);
    if (Math.abs(off) <= this.n.out) {
      this.coldSinceS = null;
      this.fit(atS, tempC);
    } else if (off < 0) this.colder(atS, tempC);
    return this.sum > this.n.sure;
  }

  /** A thermostat that opens dips and comes back; what stays colder is the new warm-up.
   * @param {number} atS @param {number} tempC */
  colder(atS, tempC) {
    if (this.coldSinceS === null) this.coldSinceS = atS;
    else if (atS - this.coldSinceS > this.n.dip_s) {
      this.fitted = [];
      this.coldSinceS = null;
      this.fit(atS, tempC);
    }
  }

  /** @param {number} atS @param {number} tempC */
  fit(atS, tempC) {
    this.fitted.push({ t: atS, x: Math.exp(-atS / this.n.tau_s), c: tempC });
    while (this.fitted.length && atS - this.fitted[0].t > this.n.back_s) this.fitted.shift();
  }

  /** How many deviations a reading is above what the last minutes lead to expect.
   * @param {number} atS @param {number} tempC @returns {Known} */
  off(atS, tempC) {
    const kept = this.fitted;
    const n = kept.length;
    if (n < this.n.few || kept[n - 1].t - kept[0].t < this.n.span_s) return null;
    const meanX = sum(kept.map(({ x }) => x)) / n;
    const meanC = sum(kept.map(({ c }) => c)) / n;
    const spread = sum(kept.map(({ x }) => (x - meanX) ** 2));
    const slope = Math.min(sum(kept.map(({ x, c }) => (x - meanX) * (c - meanC))) / spread, 0); // a warm-up does not cool
    const left = sum(kept.map(({ x, c }) => (c - meanC - slope * (x - meanX)) ** 2));
    const noiseC = Math.sqrt((left + this.n.noise_of * this.n.noise_c ** 2) / (n - 2 + this.n.noise_of));
    const x = Math.exp(-atS / this.n.tau_s) - meanX;
    return (tempC - meanC - slope * x) / (noiseC * Math.sqrt(1 + 1 / n + (x * x) / spread));
  }

  /** The temperature around a moment: what was read just before it. @param {number} atS @returns {Known} */
  mean(atS) {
    const from = atS - Math.max(this.n.mean_s, 1.01 * this.intervalS());
    const near = this.temps.filter((_, k) => from < this.times[k] && this.times[k] <= atS);
    return near.length ? sum(near) / near.length : null;
  }

  /** The temperature at a moment between two readings. @param {number} atS @returns {Known} */
  at(atS) {
    const after = this.times.findIndex((t) => t >= atS);
    if (after < 0 || (after === 0 && this.times[0] !== atS)) return null;
    const [bS, bC] = [this.times[after], this.temps[after]];
    if (bS === atS) return bC;
    const [aS, aC] = [this.times[after - 1], this.temps[after - 1]];
    return aC + ((bC - aC) * (atS - aS)) / (bS - aS);
  }

  intervalS() {
    const last = this.times.slice(-10);
    const steps = last.slice(1).map((t, k) => t - last[k]);
    steps.sort((a, b) => a - b);
    const half = steps.length >> 1;
    if (!steps.length) return 0;
    return steps.length % 2 ? steps[half] : (steps[half - 1] + steps[half]) / 2;
  }

  /** Why the gauge here tells nothing any more; empty while it does. @param {number} nowS */
  cantTell(nowS) {
    if (this.times.length < 2) return "";
    const silentS = nowS - (this.times.at(-1) ?? 0);
    if (silentS > Math.max(this.n.silent_s, this.n.silent * this.intervalS())) return `nothing read for ${silentS.toFixed(0)} s`;
    const last = this.temps.at(-1) ?? 0;
    let same = 0;
    while (same < this.temps.length && this.temps[this.temps.length - 1 - same] === last) same++;
    if (same === this.temps.length) {
      const lastedS = (this.times.at(-1) ?? 0) - this.times[0];
      const never = same >= this.n.stuck || lastedS >= this.n.flat_s; // sooner than a plateau: it would look like one
      return never ? `it says ${last.toFixed(1)} °C since its first reading` : "";
    }
    const till = this.temps.length - same;
    const before = [...new Set(this.temps.slice(Math.max(0, till - this.n.stuck), till))].sort((a, b) => a - b);
    const steps = before.slice(1).map((c, k) => c - before[k]);
    const fine = steps.length >= this.n.stuck >> 1 && Math.min(...steps) < this.n.fine_c;
    return same >= this.n.stuck && fine ? `it says ${last.toFixed(1)} °C ${same} times in a row` : "";
  }
}

/** Whether it is hotter than the yard's own healthy runs were at that time.
 * @param {[number, number][][]} runs @param {number} atS @param {number} tempC @param {Numbers} n */
export function hotterThan(runs, atS, tempC, n) {
  const there = runs.map((run) => at(run, atS)).filter((one) => one !== null);
  if (there.length < n.runs) return false;
  const mean = sum(there) / there.length;
  const spread = Math.sqrt(sum(there.map((one) => (one - mean) ** 2)) / (there.length - 1));
  return tempC > mean + n.runs_z * Math.max(spread, 1);
}

/** @param {[number, number][]} run @param {number} atS @returns {number | null} */
function at(run, atS) {
  for (let k = 1; k < run.length; k++) {
    const [[aS, aC], [bS, bC]] = [run[k - 1], run[k]];
    if (aS <= atS && atS <= bS) return bS > aS ? aC + ((bC - aC) * (atS - aS)) / (bS - aS) : bC;
  }
  return null;
}

/** What the alarm says: stop first, then why, then what to do with the water.
 * @param {Alarm} alarm @param {string} supply @param {Numbers} n */
export function stopWords(alarm, supply, n) {
  const why = alarm.why[0].toUpperCase() + alarm.why.slice(1);
  const temp = alarm.tempC === null ? "" : `, ${alarm.tempC.toFixed(0)} °C`;
  const where = alarm.point ? ` (${alarm.point}${temp})` : "";
  return `Stop the engine. ${why}${where}. ${n.then[supply]}`;
}

/** @param {number[]} all */
const sum = (all) => all.reduce((a, b) => a + b, 0);
