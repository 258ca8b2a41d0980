// What all forms at a boat share stands once on her page; a form gets it when its item is opened.

import { element } from "./words.js";

/** What is decided now, whenever the deed was. */
export const DECIDES = "[data-entry='struck out'], [data-entry='cleared']";

/** Each item from now on, and those that an address with a # opened already. */
export function start() {
  document.addEventListener("toggle", (event) => event.target instanceof HTMLDetailsElement && unfold(event.target), true);
  document.querySelectorAll("details.item[open]").forEach(unfold);
}

/** @param {Element} item */
function unfold(item) {
  item.querySelectorAll("a[data-minds]").forEach(sayWhatToMind);
  item.querySelectorAll(":scope > [id^='how-'] > a").forEach(teach);
  for (const form of item.querySelectorAll(":scope > form[data-entry]:not([data-unfolded])")) {
    form.setAttribute("data-unfolded", "");
    form.prepend(element("button", { disabled: "", hidden: "" })); // so that Enter in a field sends nothing: only a tap does
    if (form.matches("[data-watched]")) form.querySelector("button.main")?.before(part("watched"));
    form.querySelectorAll("button[data-doubt]").forEach(askWhatWasSeen);
    if (form.matches("[data-entry='done']")) form.append(howLong());
    if (!form.matches(DECIDES)) form.append(part("earlier"));
    form.dispatchEvent(new CustomEvent("unfolded", { bubbles: true }));
  }
}

/** The caution of the step that a put-back is done by, where the hand is.
 * @param {Element} link */
function sayWhatToMind(link) {
  link.removeAttribute("data-minds");
  const how = document.getElementById((link.getAttribute("href") ?? "").slice(1));
  const mind = how?.parentElement?.querySelector(":scope > .do-not");
  if (mind) link.parentElement?.after(mind.cloneNode(true));
}

/** @type {Promise<Record<string, [string[], string, string]>> | undefined} */
let lessons;

/** How a step is done, why, and what can go wrong: told once for all boats.
 * @param {Element} link to the step's own page */
async function teach(link) {
  const place = link.parentElement;
  const from = document.getElementById("at-hand")?.dataset.lessons ?? "";
  lessons ??= fetch(from).then((answer) => answer.json());
  try {
    const [how, why, goes_wrong] = (await lessons)[place?.id.slice("how-".length) ?? ""];
    const list = element("ol", {}, ...how.map((one) => element("li", {}, one)));
    place?.replaceChildren(list, element("p", {}, element("b", {}, "Why"), ` ${why}`), element("p", {}, element("b", {}, "What can go wrong"), ` ${goes_wrong}`));
  } catch {
    lessons = undefined; // no signal, and the worker is not there yet: the link stays
  }
}

/** How long a job took, for who knows; the yard takes none too. */
function howLong() {
  const asks = { type: "number", name: "took_min", min: "1", max: "100000", "data-unit": "min" };
  return element("label", {}, "It took about, min", element("input", asks));
}

/** @param {string} id */
function part(id) {
  const there = document.getElementById(id);
  return there instanceof HTMLTemplateElement ? there.content.cloneNode(true) : "";
}

/** @param {Element} button */
function askWhatWasSeen(button) {
  if (!(button instanceof HTMLButtonElement)) return;
  const asks = button.textContent ?? "";
  const says = asks.charAt(0).toLowerCase() + asks.slice(1);
  button.before(part("doubt"));
  const folded = button.previousElementSibling;
  folded?.querySelector("summary")?.append(asks);
  folded?.append(button);
  button.textContent = `Write it down: ${says}`;
  button.dataset.words = says;
}
