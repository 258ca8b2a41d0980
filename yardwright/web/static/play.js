// The Row Map's order, played by a slider: each day is the page of its link, fetched once.
// Without this script the links of the days do the same.

const A_STEP_MS = 1200;
const days = [...document.querySelectorAll("#days a")];
const rows = document.getElementById("rows");
/** @type {Map<string, Promise<string>>} */
const fetched = new Map();

/** @param {string} address */
function mapOf(address) {
  const known = fetched.get(address);
  if (known) return known;
  const asked = fetch(address, { headers: { "HX-Request": "true" } }).then((answer) => {
    if (!answer.ok || answer.redirected) throw new Error(`${answer.status}`);
    return answer.text();
  });
  asked.catch(() => fetched.delete(address));
  fetched.set(address, asked);
  return asked;
}

/** What is open stays open. @param {string} map */
function draw(map) {
  const open = [...rows.querySelectorAll("details[open]")].map((one) => one.id);
  rows.innerHTML = map;
  for (const id of open) document.getElementById(id)?.setAttribute("open", "");
}

/** The same day on the same paper.
 * @param {HTMLAnchorElement} paper @param {URL} shown */
function onPaper(paper, shown) {
  const size = new URL(paper.href).searchParams.get("paper");
  if (size) shown.searchParams.set("paper", size);
  paper.search = shown.search;
}

function slider() {
  const here = Math.max(0, days.findIndex((day) => day.hasAttribute("aria-current")));
  const range = Object.assign(document.createElement("input"), { type: "range", id: "day", min: "0", max: `${days.length - 1}`, value: `${here}` });
  const label = Object.assign(document.createElement("label"), { htmlFor: "day", textContent: "The order, day by day: " });
  const says = document.createElement("output");
  label.append(says);
  say();

  function say() {
    says.textContent = days[range.valueAsNumber].dataset.says;
    range.setAttribute("aria-valuetext", says.textContent);
  }

  async function show() {
    say();
    const day = days[range.valueAsNumber];
    try {
      const map = await mapOf(day.href);
      if (day !== days[range.valueAsNumber]) return; // moved on meanwhile
      draw(map);
      for (const one of days) one.toggleAttribute("aria-current", one === day);
      day.setAttribute("aria-current", "true");
      history.replaceState(null, "", day.href);
      for (const paper of document.querySelectorAll("nav.paper a")) if (paper instanceof HTMLAnchorElement) onPaper(paper, new URL(day.href));
    } catch {
      says.textContent = "No answer from the yard's server. The map is as it was; try again.";
    }
  }

  range.addEventListener("input", show);
  return { range, label, show };
}

/** Plays to its end, or until it is stopped; not for whoever asked their device for less motion. */
function player({ range, show }) {
  const button = Object.assign(document.createElement("button"), { type: "button", className: "tap", textContent: "Play" });
  let timer = 0;
  const stop = () => {
    clearTimeout(timer);
    timer = 0;
    button.textContent = "Play";
  };
  const step = async () => {
    if (range.valueAsNumber >= days.length - 1) return stop();
    range.stepUp();
    await show();
    if (timer) timer = setTimeout(step, A_STEP_MS);
  };
  button.addEventListener("click", () => {
    if (timer) return stop();
    if (range.valueAsNumber >= days.length - 1) range.value = "0";
    button.textContent = "Stop";
    timer = setTimeout(step, 0);
  });
  range.addEventListener("pointerdown", stop);
  range.addEventListener("keydown", stop);
  return button;
}

if (rows && days.length) {
  const made = slider();
  const order = document.getElementById("order");
  order.append(made.label, made.range);
  if (!matchMedia("(prefers-reduced-motion: reduce)").matches) order.append(player(made));
  document.getElementById("days-listed").open = false;
}
