// The heat of a hose run: drawn, with the words beside it, and with what each point is compared.

import { sortOf } from "./hose_watch.js";
import { element } from "./words.js";

/** @typedef {{atS: number, point: string, tempC: number}} Read */

/** The heat so far; drawn anew only when something was read.
 * @param {HTMLElement} here @param {Read[]} read @param {Record<string, number>} limitC */
export function drawHeat(here, read, limitC) {
  if (!read.length || here.dataset.count === String(read.length)) return;
  here.dataset.count = String(read.length);
  const last = read[read.length - 1];
  const long = Math.max(300, last.atS);
  const x = (/** @type {number} */ atS) => ((atS / long) * 300).toFixed(1);
  const y = (/** @type {number} */ tempC) => (100 - Math.max(0, Math.min(100, tempC))).toFixed(1);
  const lines = [...new Set(read.map((one) => one.point))].map((point, n) => {
    const path = read.filter((one) => one.point === point).map((one) => `${x(one.atS)},${y(one.tempC)}`);
    return `<polyline points="${path.join(" ")}" fill="none" stroke="currentColor" stroke-width="1.5"${n ? ` stroke-dasharray="${2 + 2 * n} 2"` : ""}/>`;
  });
  const limit = limitC[last.point];
  const bar = limit === undefined ? "" : `<line x1="0" x2="300" y1="${y(limit)}" y2="${y(limit)}" stroke="currentColor" stroke-dasharray="1 3"/>`;
  here.innerHTML = `<svg viewBox="0 0 300 100" role="img" aria-label="Heat since the start, 0 to 100 °C">${bar}${lines.join("")}</svg>`;
  here.append(element("p", { class: "ev" }, `Last: ${last.point} ${round(last.tempC)} °C (${round(last.tempC * 1.8 + 32)} °F).${limit === undefined ? "" : ` Dotted: ${last.point} not over ${round(limit)} °C.`}`));
}

/** With what each point is compared, in words.
 * @param {string[]} points @param {Record<string, unknown[]>} kept the yard's own runs, by the sort of point @param {number} enough */
export function compared(points, kept, enough) {
  const words = [...new Set(points.map(sortOf))].flatMap((sort) => {
    const alike = points.filter((name) => sortOf(name) === sort);
    const runs = (kept[sort] ?? []).length;
    const each = alike.length > 1 ? [`${alike.join(" and ")} are compared with each other.`] : [];
    return runs >= enough ? [...each, `${sort || "These"}: compared with ${runs} of this yard's own runs of such an engine.`] : each;
  });
  return words.length ? words.join(" ") : "No point is compared with another, nor with earlier runs.";
}

/** @param {number} number */
export const round = (number) => Math.round(number * 10) / 10;
