// Each form for an entry is kept on this phone first, then sent; what waits is shown where it was entered.

import * as bar from "./bar.js";
import { copyOf, start as startKeeping } from "./keep.js";
import * as list from "./list.js";
import { isWell, keep, NotKept, onChange, read, told, waiting } from "./outbox.js";
import { start as startPhotos } from "./photo_form.js";
import { allPhotos, onPhotos } from "./photos.js";
import { post, send, start } from "./sync.js";
import { start as startUnfolding } from "./unfold.js";
import { became, button, element, waits, withOffset } from "./words.js";

/** @typedef {import("./outbox.js").Row} Row */
/** @typedef {import("./outbox.js").Told} Told */

const OURS = new Set(["csrfmiddlewaretoken", "uuid", "made_at"]);
/** Answers to what could not be kept and went straight to the yard. @type {Told[]} */
const straight = [];
/** @type {WeakSet<HTMLFormElement>} */
const busy = new WeakSet();
/** A page has hundreds of forms: each is read once. @type {WeakMap<HTMLFormElement, string>} */
const names = new WeakMap();

/** @returns {HTMLFormElement[]} */
const forms = () => [...document.querySelectorAll("form[data-entry]")].filter((form) => form instanceof HTMLFormElement);

/** @param {HTMLFormElement} form */
function pageOf(form) {
  const { pathname, search } = new URL(form.action);
  return pathname + search.replace(/[?&]once=[^&]*$/, ""); // its number on this page is another each time
}

const me = Number(document.body.dataset.person);

/** The same form on a page that is loaded again.
 * @param {HTMLFormElement} form */
function nameOf(form) {
  const known = names.get(form);
  if (known) return known;
  const fixed = [...form.querySelectorAll("input[type=hidden]")]
    .filter((field) => field instanceof HTMLInputElement && !OURS.has(field.name))
    .map((field) => field instanceof HTMLInputElement && `${field.name}=${field.value}`);
  const name = [pageOf(form), ...fixed].join(" ");
  names.set(form, name);
  return name;
}

/** @param {HTMLFormElement} form @param {HTMLElement | null} tapped @returns {Row} */
function rowOf(form, tapped) {
  /** @type {[string, string][]} */
  const fields = [];
  for (const [name, value] of new FormData(form))
    if (typeof value === "string" && !OURS.has(name)) fields.push([name, value]);
  if (tapped instanceof HTMLButtonElement && tapped.name) fields.push([tapped.name, tapped.value]);
  form.dataset.madeAt ??= withOffset(new Date()); // tried again, it is still the same entry
  return {
    uuid: uuidField(form).value,
    to: pageOf(form),
    fields,
    made_at: form.dataset.madeAt,
    person: me,
    boat: document.getElementById("at-hand")?.dataset.boat ?? /^\/boats\/([A-Za-z]{3})\//.exec(pageOf(form))?.[1] ?? "",
    words: [deedOf(form, tapped), typed(form)].filter(Boolean).join(": "),
    name: document.body.dataset.name ?? "",
    form: nameOf(form),
    verdict: form.dataset.verdict ?? "",
  };
}

/** Whose, what, and what was done.
 * @param {HTMLFormElement} form @param {HTMLElement | null} tapped */
function deedOf(form, tapped) {
  const said = tapped?.dataset.words ?? form.dataset.entry ?? "";
  const what = form.closest("details.item")?.querySelector("summary b")?.textContent;
  return what ? `${document.getElementById("at-hand")?.dataset.name}: ${[what, said].filter(Boolean).join(", ")}` : said;
}

/** What a person wrote or chose, as it is read back.
 * @param {HTMLFormElement} form */
function typed(form) {
  const said = [...form.querySelectorAll("input, textarea")].map((field) => {
    if (field instanceof HTMLTextAreaElement) return field.value.trim();
    if (!(field instanceof HTMLInputElement)) return "";
    const unit = field.value && field.dataset.unit ? ` ${field.dataset.unit}` : "";
    if (["text", "number"].includes(field.type)) return field.value.trim() + unit;
    const is_chosen = ["radio", "checkbox"].includes(field.type) && field.checked;
    return is_chosen ? (field.labels?.[0]?.textContent?.trim() ?? "") : "";
  });
  return said.filter(Boolean).join(", ");
}

/** @param {HTMLFormElement} form @returns {HTMLInputElement} */
function uuidField(form) {
  const field = form.querySelector("input[name=uuid]");
  if (field instanceof HTMLInputElement) return field;
  const made = element("input", { type: "hidden", name: "uuid", value: crypto.randomUUID() });
  form.append(made);
  return made;
}

/** @param {HTMLFormElement} form @param {HTMLElement | null} tapped */
async function enter(form, tapped) {
  const row = rowOf(form, tapped);
  placeOf(form).replaceChildren(element("p", { role: "status" }, "Keeping it on this phone …"));
  try {
    await keep(row);
  } catch (no) {
    if (!(no instanceof NotKept)) throw no;
    return goStraight(form, row, no.message);
  }
  entered(form, row);
  send();
}

/** The next submit of this form is another entry.
 * @param {HTMLFormElement} form @param {Row} row */
function entered(form, row) {
  uuidField(form).value = crypto.randomUUID();
  delete form.dataset.madeAt;
  delete form.dataset.again;
  form.dispatchEvent(new CustomEvent("kept", { bubbles: true, detail: row }));
  form.reset();
  return show().then(() => placeOf(form).focus());
}

/** No room on this phone: it is held at once, or it stays in the form.
 * @param {HTMLFormElement} form @param {Row} row @param {string} why */
async function goStraight(form, row, why) {
  tell(form, `${why} This goes straight to the yard.`);
  const answers = await post([row]);
  const answer = typeof answers === "object" ? answers[row.uuid] : undefined;
  if (answer && answer.word !== "not yours") {
    straight.push({ ...row, ...answer, told_at: new Date().toISOString() });
    return entered(form, row);
  }
  const no = typeof answers === "string" ? answers : (answer?.says ?? "The yard's server is busy.");
  tell(form, `${why} ${no} It is not entered yet: what you typed stands here. Tap again where there is signal.`);
}

/** @param {HTMLFormElement} form @param {string} words */
function tell(form, words) {
  const place = placeOf(form);
  place.dataset.shows = "";
  place.replaceChildren(element("p", { class: "refused", role: "alert" }, words));
  place.scrollIntoView({ block: "nearest" });
}

/** Where a form's entries are shown: also while what folds is folded.
 * @param {HTMLFormElement} form @returns {HTMLElement} */
function placeOf(form) {
  form.id ||= `form-${[...document.forms].indexOf(form)}`;
  const there = document.getElementById(`entered-${form.id}`);
  if (there) return there;
  const made = element("div", { id: `entered-${form.id}`, class: "entered", tabindex: "-1" });
  (form.closest("details.item") ?? form).after(made);
  return made;
}

/** A page that came from the server later shows it itself.
 * @param {Told} one */
function isNews(one) {
  return !isWell(one) || Date.parse(one.told_at) > (copyOf() ? Date.parse(copyOf()) : performance.timeOrigin);
}

async function show() {
  const [rows, answers] = [await waiting(), [...(await told()), ...straight]];
  for (const form of forms()) {
    const name = nameOf(form);
    const isMine = (/** @type {Row} */ row) => row.form === name && row.person === me;
    drawn(form, rows.filter(isMine), answers.filter(isMine).filter(isNews));
  }
  bar.show(rows, answers, (await allPhotos()).filter((one) => one.goes));
  list.show(rows, answers);
}

/** @param {HTMLFormElement} form @param {Row[]} rows @param {Told[]} news */
function drawn(form, rows, news) {
  const shows = JSON.stringify([rows.map((one) => one.uuid), news.map((one) => one.uuid), form.dataset.again]);
  const place = rows.length + news.length ? placeOf(form) : document.getElementById(`entered-${form.id}`);
  if (!place || place.dataset.shows === shows) return;
  place.dataset.shows = shows;
  form.hidden = rows.length + news.length > 0 && !("again" in form.dataset);
  const lines = [...news.map(answerLine), ...rows.map(waitingLine)];
  const once_more = button("Enter something else here", () => {
    form.dataset.again = "";
    const folded = form.closest("details.item");
    if (folded instanceof HTMLDetailsElement) folded.open = true;
    show();
  });
  place.replaceChildren(...lines, ...(form.hidden ? [once_more] : []));
}

/** @param {Row} row */
function waitingLine(row) {
  const line = element("p", { role: "status" }, element("b", {}, waits(row)), ` ${row.words}${row.verdict ? `: ${row.verdict}` : ""}`);
  return row.verdict === "Stop" ? element("div", {}, line, stop()) : line;
}

const stop = () => element("p", { class: "refused" }, "Stop. She waits for a repair, or for someone who may clear.");

/** @param {Told} one */
function answerLine(one) {
  const line = element("p", { role: "status" }, element("b", {}, "Held."), ` ${one.says}`);
  if (isWell(one)) return one.verdict && / Stop\./.test(one.says) ? element("div", {}, line, stop()) : line;
  return element("div", { class: "refused", role: "alert" }, became(one), button("I have read it", () => read(one.uuid)));
}

function catchForms() {
  document.addEventListener(
    "submit",
    (event) => {
      const form = event.target;
      if (!(form instanceof HTMLFormElement) || !("entry" in form.dataset)) return;
      event.preventDefault();
      event.stopImmediatePropagation();
      if (busy.has(form)) return;
      busy.add(form);
      enter(form, event.submitter).finally(() => busy.delete(form));
    },
    true,
  );
}

startUnfolding();
if (isSecureContext) {
  catchForms();
  if (copyOf()) for (const field of document.querySelectorAll("form[data-entry] input[name=uuid]")) if (field instanceof HTMLInputElement) field.value = crypto.randomUUID(); // its first may be used up
  onChange(show);
  if (document.body.dataset.person) start(show);
  startPhotos({ all: forms, nameOf, uuidField, placeOf });
  onPhotos(show);
  startKeeping();
} else list.lacks();
show();
