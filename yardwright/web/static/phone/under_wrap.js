// The sketch of the under-wrap card: a tap says where, and what waits on this phone is drawn as well.

import { onChange, waiting } from "./outbox.js";

/** @typedef {{along: number, across: number}} Spot */

const SVG = "http://www.w3.org/2000/svg";
const here = location.pathname;
/** A zone and its middle. @type {[string, [number, number]][]} */
const zones = JSON.parse(document.getElementById("zones")?.textContent ?? "[]");

const sketch = () => /** @type {SVGSVGElement | null} */ (document.querySelector(".sketch svg"));
const form = /** @type {HTMLFormElement | null} */ (document.querySelector("#mark form"));

/** @param {string} name */
function field(name) {
  const found = form?.elements.namedItem(name);
  return found instanceof HTMLInputElement || found instanceof HTMLSelectElement ? found : undefined;
}

/** Where on her that is; undefined beside her.
 * @param {SVGSVGElement} svg @param {MouseEvent} event @returns {Spot | undefined} */
function spotOf(svg, event) {
  const matrix = svg.getScreenCTM();
  if (!matrix) return undefined;
  const { x, y } = new DOMPoint(event.clientX, event.clientY).matrixTransform(matrix.inverse());
  const { long, half, round } = measures(svg);
  const spot = { along: (y - round) / long, across: (x - svg.viewBox.baseVal.width / 2) / half };
  return spot.along >= 0 && spot.along <= 1 && Math.abs(spot.across) <= 1 ? spot : undefined;
}

/** @param {SVGSVGElement} svg */
const measures = (svg) => ({ long: Number(svg.dataset.long), half: Number(svg.dataset.half), round: Number(svg.dataset.round) });

/** The part of the boat whose middle is nearest.
 * @param {Spot} spot @param {number} share her half beam by her length */
function zoneOf({ along, across }, share) {
  const away = (/** @type {[number, number]} */ [a, b]) => Math.hypot(a - along, (b - across) * share);
  return zones.reduce((best, one) => (away(one[1]) < away(best[1]) ? one : best))[0];
}

/** @param {SVGSVGElement} svg @param {Spot} spot @param {string} words @param {string} name */
function draw(svg, { along, across }, words, name) {
  const { long, half, round } = measures(svg);
  const ring = document.createElementNS(SVG, "g");
  ring.setAttribute("class", name);
  const circle = document.createElementNS(SVG, "circle");
  const at = { cx: svg.viewBox.baseVal.width / 2 + across * half, cy: round + along * long, r: 15 };
  for (const [key, value] of Object.entries({ ...at, fill: "none", stroke: "currentColor", "stroke-width": 3, "stroke-dasharray": "5 4" }))
    circle.setAttribute(key, String(value));
  const title = document.createElementNS(SVG, "title");
  title.textContent = words;
  ring.append(title, circle);
  svg.append(ring);
}

/** @param {MouseEvent} event */
function tapped(event) {
  const svg = sketch();
  if (!svg || !form || !(event.target instanceof Node) || !svg.contains(event.target)) return;
  const spot = spotOf(svg, event);
  if (!spot) return;
  const { long, half } = measures(svg);
  const [along, across, zone] = ["along", "across", "zone"].map(field);
  if (!along || !across || !zone) return;
  along.value = spot.along.toFixed(3);
  across.value = spot.across.toFixed(3);
  zone.value = zoneOf(spot, half / long);
  svg.querySelectorAll(".chosen").forEach((old) => old.remove());
  draw(svg, spot, `Chosen: ${zone.value}`, "chosen");
  const fold = form.closest("details");
  if (fold) fold.open = true;
  field("what")?.focus();
}

/** A part that is chosen by its name is no spot. */
function byName() {
  for (const name of ["along", "across"]) {
    const hidden = field(name);
    if (hidden) hidden.value = "";
  }
  sketch()?.querySelectorAll(".chosen").forEach((old) => old.remove());
}

/** What was drawn on this phone and has not reached the yard yet. */
async function drawWaiting() {
  const rows = (await waiting()).filter((row) => new URL(row.to, location.href).pathname === here);
  const svg = sketch();
  if (!svg) return;
  svg.querySelectorAll(".waits-here").forEach((old) => old.remove());
  for (const row of rows) {
    const typed = Object.fromEntries(row.fields);
    const middle = zones.find(([zone]) => zone === typed.zone)?.[1];
    const spot = typed.along ? { along: Number(typed.along), across: Number(typed.across) } : middle && { along: middle[0], across: middle[1] };
    if (spot) draw(svg, spot, `${typed.what}, waiting on this phone`, "waits-here");
  }
}

/** What the yard holds by now: the card anew. */
async function renew() {
  const answer = await fetch(here).catch(() => undefined);
  if (!answer?.ok || answer.redirected) return;
  const fresh = new DOMParser().parseFromString(await answer.text(), "text/html").getElementById("card");
  if (fresh) document.getElementById("card")?.replaceWith(fresh);
  await drawWaiting();
}

document.addEventListener("click", tapped);
field("zone")?.addEventListener("change", byName);
document.addEventListener("kept", byName);
document.addEventListener("held", renew);
onChange(drawWaiting);
drawWaiting();
