// The points that a hose run reads, as they are typed before the start; they become its first lines.

import { isHead } from "./hose_watch.js";
import { button, element } from "./words.js";

/** @typedef {{name: HTMLInputElement, running: HTMLInputElement, limit: HTMLInputElement, parts: Node[]}} Point */

const HELP = "Points that differ only in port, starboard or a number are compared with each other: head port, head starboard. Read each on a spot with matt tape or black paint, always the same: bare metal reads far too cold.";

/** The fields of the points, and what they say once they are asked.
 * @param {number | null} filedC what her heads must not reach, by the limit on file; null: none
 * @param {import("./units.js").Units} units @param {number} hottestC
 * @returns {{parts: Node[], lines: () => string[]}} `lines` throws what is wrong, in words */
export function pointsForm(filedC, units, hottestC) {
  const rows = [fieldsOf(1, "head", filedC)];
  const points = element("div", {}, ...rows[0].parts);
  const more = button("Read at one more point", () => {
    const row = fieldsOf(rows.length + 1, "", filedC);
    rows.push(row);
    points.append(...row.parts);
    row.name.focus();
  });
  /** @param {string} typed */
  const inRange = (typed) => {
    const value = Math.round(units.read(typed, "°C", { beside: "°C" }).value * 10) / 10;
    if (value < 30 || value > hottestC) throw new Error(`${value} °C; give 30 to ${hottestC} °C, or °F with its unit: 160 F.`);
    return value;
  };
  return { parts: [element("p", { class: "help" }, HELP), points, more], lines: () => linesOf(rows, filedC, inRange) };
}

/** @param {number} n @param {string} named @param {number | null} filedC @returns {Point} */
function fieldsOf(n, named, filedC) {
  const at = n === 1 ? "" : `, point ${n}`;
  const [name, ...names] = field(`Point ${n}`, named);
  const [running, ...runs] = field(`Her running temperature${at}`, "", "Where her thermostat shows, from the manual: 70 C or 160 F. Nowhere: it ends by hand only.");
  const filed = n === 1 && filedC !== null;
  const [limit, ...limits] = field(`Not over${at}`, filed ? `${filedC} C` : "", filed ? "The limit on file; of each head it counts in any case." : "From the manual, or empty: nothing on file.");
  name.addEventListener("change", () => {
    if (filed && !isHead(name.value) && limit.value === `${filedC} C`) limit.value = ""; // it is her heads'
  });
  return { name, running, limit, parts: [...names, name, ...runs, running, ...limits, limit] };
}

/** The input, then what stands before it.
 * @param {string} label @param {string} value @param {string} help @returns {[HTMLInputElement, ...HTMLElement[]]} */
function field(label, value, help = "") {
  const id = label.replace(/\W+/g, "-");
  const input = element("input", { type: "text", id, value });
  return [input, element("label", { for: id }, label), ...(help ? [element("span", { class: "help" }, help)] : [])];
}

/** @param {Point[]} rows @param {number | null} filedC @param {(typed: string) => number} inRange */
function linesOf(rows, filedC, inRange) {
  const points = rows.map(({ name, running, limit }) => ({ name: name.value.trim().toLowerCase(), running: running.value.trim(), limit: limit.value.trim() }));
  const named = points.filter(({ name }) => name);
  if (!named.length) throw new Error("Name at least one point, such as head.");
  const names = named.map(({ name }) => name);
  if (new Set(names).size < names.length || names.some((name) => name.includes(","))) throw new Error("Each point has a name of its own, without commas.");
  const lines = named.filter(({ running }) => running).map(({ name, running }) => `running ${name} ${inRange(running)} C`);
  for (const { name, limit: typed } of named) {
    const filed = isHead(name) ? filedC : null;
    const limit = typed ? inRange(typed) : filed;
    if (filed !== null && limit !== null && limit > filed) throw new Error(`On file is ${filed} °C for ${name}: lower it, never raise it.`);
    if (limit !== null) lines.push(`limit ${name} ${limit} C`);
  }
  return [...lines, `points ${names.join(", ")}`];
}
