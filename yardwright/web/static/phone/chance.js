// How sure a reading is: uncertainties, and the chance that the true value lies within limits, as calc/metrology.py.

/** @typedef {number | null} Known null is *not known* */
/** @typedef {{middle: number, low: number, high: number, sure: boolean}} Slope */

const FAR = 5.5; // standard deviations, beyond which lowest and highest alone decide: metrology.py says how surely
const NODES = 64;

/** Of a display that shows whole steps.
 * @param {number} step */
export const resolutionU = (step) => step / Math.sqrt(12);

/** The share of a normal spread below z.
 * @param {number} z */
export const below = (z) => 0.5 * erfc(-z / Math.SQRT2);

/** The complement of the error function: near 0 its series, further out its continued fraction.
 * @param {number} x @returns {number} */
export function erfc(x) {
  if (x < 0) return 2 - erfc(-x);
  if (x > 27) return 0;
  if (x < 2.5) return 1 - erfOf(x);
  let tail = 0;
  for (let n = Math.ceil(15 + 600 / (x * x)); n > 0; n--) tail = n / 2 / (x + tail); // further out fewer will do
  return Math.exp(-x * x) / Math.sqrt(Math.PI) / (x + tail);
}

/** @param {number} x at least 0, not far out */
function erfOf(x) {
  let [term, sum] = [x, x];
  for (let n = 1; term > sum * 1e-17; n++) {
    term *= (2 * x * x) / (2 * n + 1);
    sum += term;
  }
  return (2 / Math.sqrt(Math.PI)) * Math.exp(-x * x) * sum;
}

/** How many standard deviations have this share of a normal spread below them.
 * @param {number} share more than 0, less than 1
 * @returns {number} */
export function deviations(share) {
  if (share < 0.5) return -deviations(1 - share);
  let z = 0;
  for (let step = 1, tries = 0; Math.abs(step) > 1e-15 * (1 + z) && tries < 60; tries++) {
    step = (0.5 * erfc(z / Math.SQRT2) - (1 - share)) / (Math.exp((-z * z) / 2) / Math.sqrt(2 * Math.PI));
    z += Math.min(step, 1);
  }
  return z;
}

/** @param {number} value @param {number} u @param {Known} lower @param {Known} upper */
export function within(value, u, lower, upper) {
  const under = upper === null ? 1 : below((upper - value) / u);
  return under - (lower === null ? 0 : below((lower - value) / u));
}

/** The uncertainty that would decide a reading.
 * @param {number} value @param {Known} lower @param {Known} upper @param {number} chance */
export function decidingU(value, lower, upper, chance) {
  const margins = [lower, upper].filter((limit) => limit !== null).map((limit) => Math.abs(value - limit));
  const nearest = Math.min(...margins);
  const one_side = nearest / deviations(chance);
  const is_within = (lower === null || lower <= value) && (upper === null || value <= upper);
  if (one_side === 0 || !is_within || margins.length === 1) return one_side;
  // Two limits: somewhere between "the far one counts nothing" and "both are as near".
  let [wide, fine] = [one_side, nearest / deviations((1 + chance) / 2)];
  for (let middle = (wide + fine) / 2; fine < middle && middle < wide; middle = (wide + fine) / 2)
    if (within(value, middle, lower, upper) >= chance) fine = middle;
    else wide = middle;
  return fine;
}

/** That the lowest true value is at least this share of the highest: summed over which one is the
 * highest, and over how high it is.
 * @param {number[]} readings @param {number} u @param {number} ratio */
export function ratioAtLeast(readings, u, ratio) {
  const highest = Math.max(...readings);
  const sure = (Math.min(...readings) - ratio * highest) / (u * Math.hypot(1, ratio));
  if (Math.abs(sure) > FAR) return Number(sure > 0);
  let sum = 0;
  for (const [node, weight] of nodes()) {
    const x = highest + 8 * u * node;
    let [all, others] = [1, 0];
    for (const reading of readings) {
      const z = (x - reading) / u;
      const between = Math.max(below(z) - below(z - ((1 - ratio) * x) / u), 0);
      all *= between;
      if (between > 0) others += Math.exp((-z * z) / 2) / Math.sqrt(2 * Math.PI) / between;
    }
    sum += weight * all * others;
  }
  return Math.min(1, 8 * sum);
}

/** The uncertainty of each reading that would decide their ratio.
 * @param {number[]} readings @param {number} ratio @param {number} chance */
export function decidingUForRatio(readings, ratio, chance) {
  const spare = (Math.min(...readings) - ratio * Math.max(...readings)) / Math.hypot(1, ratio);
  let wide = Math.abs(spare) / deviations(chance);
  if (spare <= 0) return wide;
  // Somewhere between "only lowest and highest count" and "each pair alone may fail".
  const pairs = readings.length * (readings.length - 1);
  let fine = spare / deviations(1 - (1 - chance) / pairs);
  while (wide - fine > 1e-6 * wide) {
    const middle = (wide + fine) / 2;
    if (ratioAtLeast(readings, middle, ratio) >= chance) fine = middle;
    else wide = middle;
  }
  return fine;
}

/** The middle of the slopes of all pairs, and its 95 % interval (Sen 1968).
 * @param {number[]} x @param {number[]} y @param {number} sure_points @returns {Slope} */
export function robustSlope(x, y, sure_points) {
  const count = x.length;
  const slopes = x.flatMap((_, a) => x.slice(a + 1).map((at, b) => (y[a + 1 + b] - y[a]) / (at - x[a])));
  slopes.sort((one, other) => one - other);
  /** @type {Map<number, number>} */
  const counted = new Map();
  for (const each of y) counted.set(each, (counted.get(each) ?? 0) + 1);
  const alike = [...counted.values()].reduce((sum, n) => sum + n * (n - 1) * (2 * n + 5), 0);
  const spread = deviations(0.975) * Math.sqrt((count * (count - 1) * (2 * count + 5) - alike) / 18);
  const first = Math.max(Math.round((slopes.length - spread) / 2) - 1, 0);
  const last = Math.min(Math.round((slopes.length + spread) / 2), slopes.length - 1);
  return { middle: median(slopes), low: slopes[first], high: slopes[last], sure: count >= sure_points };
}

/** @param {number[]} values */
export function median(values) {
  const sorted = [...values].sort((one, other) => one - other);
  const half = sorted.length >> 1;
  return sorted.length % 2 ? sorted[half] : (sorted[half - 1] + sorted[half]) / 2;
}

/** @type {[number, number][]} */
const found = [];

/** Places and weights of a Gauss-Legendre sum, by Newton's steps.
 * @returns {[number, number][]} */
function nodes() {
  for (let i = 0; found.length < NODES; i++) {
    let [x, slope] = [Math.cos((Math.PI * (i + 0.75)) / (NODES + 0.5)), 0];
    for (let step = 0; step < 20; step++) {
      let [p, before] = [x, 1];
      for (let n = 2; n <= NODES; n++) [p, before] = [((2 * n - 1) * x * p - (n - 1) * before) / n, p];
      slope = (NODES * (x * p - before)) / (x * x - 1);
      x -= p / slope;
    }
    found.push([x, 2 / ((1 - x * x) * slope * slope)]);
  }
  return found;
}
