// Stop the engine: over the whole screen, loud, until somebody says that she stands.

import { beep, quietMs } from "./hose_sound.js";
import { button, element } from "./words.js";

const BEEP_MS = 700;
const UNREAD_MS = 1500;

/** @typedef {{words: string, deed: () => void}} Answer */

/** Show it, once, and go on beeping.
 * @param {string} large at most three words, read from where the stop is
 * @param {string} words why, and what to do with the water
 * @param {Answer[]} answers the first is that she stands */
export function showStop(large, words, answers) {
  if (!document.getElementById("stop")) cover(large, words, answers);
  if (quietMs() <= BEEP_MS) return;
  beep(880, 0.5);
  navigator.vibrate?.([400, 150, 400]);
}

/** @param {string} large @param {string} words @param {Answer[]} answers */
function cover(large, words, answers) {
  const buttons = answers.map((one) => button(one.words, () => (one.deed(), uncover())));
  const [stop, ...why] = large.split(" ");
  const card = element(
    "div",
    { id: "stop", role: "alertdialog", "aria-modal": "true", "aria-labelledby": "stop-now", "aria-describedby": "stop-why" },
    element("h2", { id: "stop-now" }, `${stop} `, element("span", {}, why.join(" "))),
    element("p", { id: "stop-why" }, words),
    ...buttons,
  );
  document.body.append(card);
  for (const behind of document.body.children) if (behind instanceof HTMLElement) behind.inert = behind !== card;
  for (const one of buttons) one.disabled = true; // a finger that was on its way to another button answers nothing
  setTimeout(() => {
    for (const one of buttons) one.disabled = false;
    buttons[0].focus();
  }, UNREAD_MS);
}

function uncover() {
  document.getElementById("stop")?.remove();
  for (const behind of document.body.children) if (behind instanceof HTMLElement) behind.inert = false;
}
