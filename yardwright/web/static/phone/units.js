// What people type ("74 F", "5,2 m", "95 psi") becomes a value in one unit, or a question: as calc/units.py does it.

/** @typedef {{
 *   kinds: Record<string, string[]>, spellings: Record<string, string>, several: Record<string, string>,
 *   factors: Record<string, Record<string, number>>, zeros: Record<string, Record<string, number>>,
 *   coldest_c: number, longest: number,
 * }} Table */
/** @typedef {{low: number, high: number, unit: string}} Plausible */
/** @typedef {{value: number, unit: string, typed: string, echo: string}} Typed */

/** What is asked, or what is wrong and how to put it right, in a sentence. */
export class Question extends Error {}

// ft2, ft3 and ft3/min are no feet and inches
const FEET_AND_INCHES = /^([^'′’f]+(?:ft(?![23](?:$|\/))\.?|feet|foot|['′’])) *(\d.*)$/;
const NUMBER = /^([+-]?)((?:\d+ )?\d+\/\d+|\d{1,3}(?: \d{3})+(?:[.,]\d+)?(?!\d)|\d[\d.,]*|[.,]\d+) ?(.*)$/;
const LEAST_DIGITS = 3;

export class Units {
  /** @type {Map<string, string>} */
  #kind = new Map();

  /** @param {Table} table */
  constructor(table) {
    this.table = table;
    for (const [kind, units] of Object.entries(table.kinds)) for (const unit of units) this.#kind.set(unit, kind);
  }

  /** @param {string} typed @param {string} unit the one that is wanted
   * @param {{beside?: string, plausible?: Plausible | null, sure?: boolean, difference?: boolean}} how
   * @returns {Typed} or throws a Question; nothing is guessed */
  read(typed, unit, { beside = "", plausible = null, sure = false, difference = false } = {}) {
    const [number, typed_unit, digits] = this.#parts(typed.trim().split(/\s+/).join(" "), unit, beside);
    const changed = () => (difference ? this.difference : this.convert).call(this, number, typed_unit, unit);
    const value = typed_unit === unit ? number : changed();
    if (!difference) this.#checkNotBelowZeroK(value, unit);
    if (plausible && !sure) this.#askIfImplausible(number, typed_unit, plausible);
    const echo = say(number, typed_unit, digits);
    return { value, unit, typed, echo: typed_unit === unit ? echo : `${echo} = ${say(value, unit, digits)}` };
  }

  /** @param {number} value @param {string} unit @param {string} to */
  convert(value, unit, to) {
    this.#checkSameKind(unit, to);
    if (unit === to) return value;
    const zero = this.table.zeros[unit]?.[to];
    const other = (zero ?? 0) + value * this.table.factors[unit][to];
    return zero === undefined ? other : Number(other.toFixed(9)); // 32 °F are 0 °C, not a hair more
  }

  /** A margin, a bound, an uncertainty.
   * @param {number} value @param {string} unit @param {string} to */
  difference(value, unit, to) {
    this.#checkSameKind(unit, to);
    return unit === to ? value : value * this.table.factors[unit][to];
  }

  /** @param {string} unit */
  like(unit) {
    return this.table.kinds[this.kind(unit)];
  }

  /** @param {string} unit */
  kind(unit) {
    const kind = this.#kind.get(unit);
    if (kind === undefined) throw new Question(`${repr(unit)} is no unit here; there are ${[...this.#kind.keys()].join(", ")}.`);
    return kind;
  }

  /** Number, its unit, and how many digits of it were typed.
   * @param {string} typed @param {string} unit @param {string} beside @returns {[number, string, number]} */
  #parts(typed, unit, beside) {
    const compound = FEET_AND_INCHES.exec(typed);
    if (compound) {
      const [feet, of_feet] = this.#one(compound[1], unit, "");
      const [inches, of_inches] = this.#one(compound[2], unit, "");
      if (of_feet !== "ft" || of_inches !== "in" || feet < 0 || inches < 0 || inches >= 12)
        throw new Question(`${repr(typed)} could not be read; type feet and inches as 5 ft 2 in.`);
      this.#checkSameKindAsTyped("ft", unit);
      return [feet + inches / 12, "ft", 4];
    }
    const [number, typed_unit, digits] = this.#one(typed, unit, beside);
    if (!typed_unit) {
      const choices = this.like(unit).map((other) => say(number, other, digits));
      throw new Question(`${typed} of what? Type the unit too: ${choices.join(" or ")}.`);
    }
    this.#checkSameKindAsTyped(typed_unit, unit);
    return [number, typed_unit, digits];
  }

  /** @param {string} typed @param {string} wanted @param {string} beside @returns {[number, string, number]} */
  #one(typed, wanted, beside) {
    const match = NUMBER.exec(typed.replaceAll("−", "-"));
    const letters = [...typed];
    if (!match || letters.length > this.table.longest) {
      const shown = repr(letters.slice(0, this.table.longest).join(""));
      throw new Question(`${shown} is no number; type one with its unit, such as 74 F or 5.2 m.`);
    }
    const [, sign, digits, spelled] = match;
    const number = numberOf(digits);
    const unit = spelled ? this.#unit(spelled, wanted) : beside;
    return [sign === "-" ? -number : number, unit, (digits.replace(/^[0.,]+/, "").match(/\d/g) ?? []).length];
  }

  /** @param {string} spelled @param {string} wanted */
  #unit(spelled, wanted) {
    if (this.#kind.has(spelled)) return spelled; // as we write it ourselves: MΩ is no mΩ
    const word = spelled.toLowerCase().trim();
    const several = own(this.table.several, word);
    if (several) throw new Question(`${repr(spelled)} can mean several: ${several}.`);
    const unit = own(this.table.spellings, word);
    if (!unit) throw new Question(`${repr(spelled)} is no unit here; type ${this.like(wanted).join(" or ")}.`);
    return unit;
  }

  /** @param {string} unit @param {string} to */
  #checkSameKind(unit, to) {
    const [kind, other] = [this.kind(unit), this.kind(to)];
    if (kind !== other) throw new Question(`${unit} is a ${kind}, ${to} is a ${other}; check the unit.`);
  }

  /** @param {string} typed_unit @param {string} unit */
  #checkSameKindAsTyped(typed_unit, unit) {
    const [kind, wanted] = [this.kind(typed_unit), this.kind(unit)];
    if (kind === wanted) return;
    const like = this.like(unit).join(" or ");
    throw new Question(`${typed_unit} is a ${kind}, this asks for a ${wanted}; type it in ${like}.`);
  }

  /** @param {number} value @param {string} unit */
  #checkNotBelowZeroK(value, unit) {
    if (this.kind(unit) === "temperature" && this.convert(value, unit, "°C") < this.table.coldest_c)
      throw new Question(`${say(value, unit)} is colder than anything can be; check number and unit.`);
  }

  /** @param {number} number @param {string} unit @param {Plausible} plausible */
  #askIfImplausible(number, unit, plausible) {
    const { low, high } = plausible;
    const fits = (/** @type {string} */ other) => {
      const value = this.convert(number, other, plausible.unit);
      return low <= value && value <= high;
    };
    if (fits(unit)) return;
    const [least, most] = [low, high].map((end) => say(this.convert(end, plausible.unit, unit), unit));
    const told = `${say(number, unit)} is outside what this usually is, ${least} to ${most}.`;
    const others = this.like(unit).filter((other) => other !== unit && fits(other));
    if (!others.length) throw new Question(`${told} Is the number right?`);
    const meant = others.map((other) => `${say(number, other)} (${say(this.convert(number, other, unit), unit)})`);
    throw new Question(`${told} Did you mean ${meant.join(" or ")}?`);
  }
}

/** @param {Record<string, string>} words @param {string} word */
const own = (words, word) => (Object.hasOwn(words, word) ? words[word] : "");

/** @param {string} typed */
function numberOf(typed) {
  if (typed.includes("/")) {
    const parts = typed.split(" ");
    const [over, under] = (parts.pop() ?? "").split("/").map(Number);
    if (under === 0) throw new Question(`${typed} divides by 0; check what was typed.`);
    return parts.reduce((sum, part) => sum + Number(part), 0) + over / under;
  }
  let digits = typed.replaceAll(" ", "");
  if (/^[1-9]\d{0,2},\d{3}$/.test(digits)) {
    const [plain, point] = [digits.replace(",", ""), digits.replace(",", ".")];
    throw new Question(`${digits}: is that ${plain} or ${point}? Type it the one way or the other.`);
  }
  if (/^(\d{1,3}(,\d{3})+\.\d+|\d{1,3}(,\d{3}){2,})$/.test(digits)) digits = digits.replaceAll(",", "");
  else if (/^(\d{1,3}(\.\d{3})+,\d+|\d{1,3}(\.\d{3}){2,})$/.test(digits)) digits = digits.replaceAll(".", "");
  digits = digits.replaceAll(",", ".");
  if (digits.split(".").length > 2) throw new Question(`${digits} has too many points; type it with one, such as 5.2.`);
  return Number(digits);
}

/** A value with its unit, in at least three digits.
 * @param {number} value @param {string} unit @param {number} digits */
export function say(value, unit, digits = LEAST_DIGITS) {
  const near = rounded(value, Math.max(digits, LEAST_DIGITS));
  const plain = Math.abs(near) < 1e21 ? near.toFixed(10) : `${BigInt(near)}.`;
  const minus = Object.is(near, -0) ? "-" : "";
  return `${minus}${plain.replace(/\.?0*$/, "")} ${unit}`;
}

/** To some digits that count; exactly between two, to the even one.
 * @param {number} value @param {number} digits */
export function rounded(value, digits) {
  if (value === 0) return value;
  const [mantissa, power] = value.toExponential(Math.min(digits + 60, 100)).split("e");
  const all = mantissa.replace(/[-.]/g, "");
  const is_between = /^50*$/.test(all.slice(digits));
  if (!is_between || Number(all[digits - 1]) % 2) return Number(value.toPrecision(digits)); // up, where between
  return Number(`${value < 0 ? "-" : ""}${all[0]}.${all.slice(1, digits)}e${power}`);
}

/** With a number of places after the point.
 * @param {number} value @param {number} places */
export function fixed(value, places) {
  const digits = Math.floor(Math.log10(Math.abs(value))) + 1 + places;
  return (digits > 0 ? rounded(value, digits) : value).toFixed(places);
}

/** In some digits, without zeros at the end; far from 1 with a power of ten.
 * @param {number} value @param {number} digits */
export function general(value, digits = 6) {
  const [mantissa, power] = rounded(value, digits).toExponential(digits - 1).split("e").map(Number);
  if (power >= -4 && power < digits) return String(rounded(value, digits));
  return `${mantissa}e${power < 0 ? "-" : "+"}${String(Math.abs(power)).padStart(2, "0")}`;
}

/** Typed words in quotes.
 * @param {string} words */
function repr(words) {
  const quote = words.includes("'") && !words.includes('"') ? '"' : "'";
  return quote + words.replaceAll("\\", "\\\\").replaceAll(quote, `\\${quote}`) + quote;
}
