// Photos in a form: taken, kept on this phone at once, shown, and sent after the entry of that form.

import { told, waiting } from "./outbox.js";
import { allPhotos, bytesOf, drop, go, keepPhoto, NoPhoto, onPhotos, shrunk, startSending, tryAgain } from "./photos.js";
import { DECIDES } from "./unfold.js";
import { at, button, count, element, withOffset } from "./words.js";

/** @typedef {import("./photos.js").Photo} Photo */
/**
 * What the page knows of a form.
 * @typedef {object} Forms
 * @property {() => HTMLFormElement[]} all
 * @property {(form: HTMLFormElement) => string} nameOf
 * @property {(form: HTMLFormElement) => HTMLInputElement} uuidField
 * @property {(form: HTMLFormElement) => HTMLElement} placeOf
 */

const THUMB_PX = 256;
const me = Number(document.body.dataset.person);
/** @type {Map<string, Promise<HTMLElement>>} */
const thumbs = new Map();
/** What was said of a file that is no photo, and how many are held, by form. @type {Map<string, string>} */
const refused = new Map();
/** @type {Map<string, number>} */
const held = new Map();
/** @type {Forms} */
let of;
/** @type {Map<string, string>} */
const form_of = new Map();

/** @param {Forms} forms */
export async function start(forms) {
  of = forms;
  document.addEventListener("unfolded", (event) => event.target instanceof HTMLFormElement && offer(event.target));
  document.querySelectorAll("form[data-unfolded]").forEach((form) => form instanceof HTMLFormElement && offer(form));
  document.addEventListener("kept", (event) => event instanceof CustomEvent && entered(event.detail));
  onPhotos((answer) => {
    const form = answer && form_of.get(answer.uuid);
    if (form && answer.word.startsWith("held")) held.set(form, (held.get(form) ?? 0) + 1);
    draw();
  });
  if (!me) return;
  await takeUp();
  startSending();
  draw();
}

/** Photos of an entry that was made go; those of one that was not are in its form again.  */
async function takeUp() {
  const photos = (await allPhotos()).filter((one) => !one.goes);
  if (!photos.length) return;
  const made = new Set([...(await waiting()), ...(await told())].map((row) => row.uuid));
  const entries = photos.map((one) => one.entry).filter((entry) => made.has(entry));
  if (entries.length) await go(entries);
  for (const photo of photos.filter((one) => !one.goes && one.person === me)) {
    const form = of.all().find((one) => of.nameOf(one) === photo.form);
    if (form) of.uuidField(form).value = photo.entry;
  }
}

/** @param {HTMLFormElement} form */
function offer(form) {
  const before = form.querySelector(":scope > button.main, :scope > button:not([disabled])");
  if (!before || form.closest("#since") || form.matches(DECIDES) || form.querySelector(".add-photo")) return;
  const field = element("input", { type: "file", accept: "image/*", capture: "environment", multiple: "" });
  field.addEventListener("change", () => take(form, [...(field.files ?? [])]).then(() => (field.value = "")));
  before.before(element("label", { class: "btn tap add-photo" }, "Add a photo", field), element("div", { class: "chosen", role: "status" }));
  draw();
}

/** @param {HTMLFormElement} form @param {File[]} files */
async function take(form, files) {
  const name = of.nameOf(form);
  const entry = of.uuidField(form).value;
  const page = document.getElementById("at-hand")?.dataset;
  refused.delete(name);
  for (const file of files) {
    try {
      const bytes = await shrunk(file, page?.photoPlace !== undefined);
      const words = form.closest("details.item")?.querySelector("summary b")?.textContent ?? "";
      await keepPhoto({ uuid: crypto.randomUUID(), entry, form: name, words, boat: page?.boat ?? "", person: me, made_at: withOffset(new Date()), goes: entries_made.has(entry), no: "" }, bytes);
    } catch (no) {
      if (!(no instanceof NoPhoto)) throw no;
      refused.set(name, [refused.get(name), no.message].filter(Boolean).join(" "));
    }
  }
  if (entries_made.has(entry)) go([entry]);
  draw();
}

/** A photo may still be shrinking when its entry is made. @type {Set<string>} */
const entries_made = new Set();

/** @param {{uuid: string}} row */
function entered(row) {
  entries_made.add(row.uuid);
  go([row.uuid]);
}

let drawing = Promise.resolve();

/** One drawing after the other, so that the last one stands. */
function draw() {
  drawing = drawing.then(drawAll).catch(() => {});
}

async function drawAll() {
  const photos = await allPhotos();
  for (const photo of photos) form_of.set(photo.uuid, photo.form);
  for (const form of of.all()) await inForm(form, photos.filter((one) => one.person === me && one.form === of.nameOf(form)));
  await onList(photos);
}

/** @param {HTMLFormElement} form @param {Photo[]} photos */
async function inForm(form, photos) {
  const name = of.nameOf(form);
  const chosen = form.querySelector(".chosen");
  const entry = form.querySelector("input[name=uuid]");
  const drafts = photos.filter((one) => !one.goes && entry instanceof HTMLInputElement && one.entry === entry.value);
  if (chosen instanceof HTMLElement) {
    const no = refused.get(name) ? [element("p", { class: "refused", role: "alert" }, `${refused.get(name)} The others are kept.`)] : [];
    await fill(chosen, drafts, [...no, ...(drafts.length ? [element("p", {}, keptWords(drafts))] : [])], (one) => [button("Take it out", () => drop(one.uuid), "")]);
  }
  const gone = photos.filter((one) => one.goes);
  const there = document.getElementById(`photos-${form.id}`);
  const n = held.get(name) ?? 0;
  if (!there && !gone.length && !n) return;
  const place = there ?? element("div", { id: `photos-${of.placeOf(form).id.replace("entered-", "")}`, class: "entered", role: "status" });
  if (!there) of.placeOf(form).after(place);
  await fill(place, gone, [...(n ? [element("p", {}, element("b", {}, `${count(n, "photo", "photos")} held.`))] : []), ...waitWords(gone)], decide);
}

/** @param {Photo[]} drafts */
function keptWords(drafts) {
  const lost = drafts.filter((one) => one.loose).length;
  const words = lost < drafts.length ? [`${count(drafts.length - lost, "photo", "photos")} kept on this phone.`] : [];
  if (lost) words.push(`This phone is full: ${count(lost, "photo stands", "photos stand")} in this page alone. Enter it where there is signal.`);
  return words.join(" ");
}

/** @param {Photo[]} gone */
function waitWords(gone) {
  const waits = gone.filter((one) => !one.no);
  const words = waits.length ? `${count(waits.length, "photo", "photos")} kept on this phone, waiting to be sent.` : "";
  const lost = waits.some((one) => one.loose) ? " This phone is full: keep this page open until they are held." : "";
  return words ? [element("p", {}, words + lost)] : [];
}

/** What can be done about one that the yard does not take.
 * @param {Photo} one */
function decide(one) {
  if (!one.no) return [];
  const words = element("p", {}, `The yard does not take this photo. ${one.no} The entry and the other photos stand.`);
  return [element("div", { class: "refused", role: "alert" }, words, button("Try it again", () => tryAgain(one)), button("Throw this photo away", () => drop(one.uuid)))];
}

/** @param {HTMLElement} place @param {Photo[]} photos @param {HTMLElement[]} words @param {(one: Photo) => HTMLElement[]} beside */
async function fill(place, photos, words, beside) {
  const shows = JSON.stringify([photos.map((one) => [one.uuid, one.no, one.goes]), words.map((one) => one.textContent)]);
  if (place.dataset.shows === shows) return;
  place.dataset.shows = shows;
  const shown = await Promise.all(photos.map(async (one, n) => element("div", { class: "one-photo" }, await thumb(one, n), ...beside(one))));
  place.hidden = !words.length && !shown.length;
  place.replaceChildren(...words, ...(shown.length ? [element("div", { class: "photos" }, ...shown)] : []));
}

/** @param {Photo} photo @param {number} n */
function thumb(photo, n) {
  const there = thumbs.get(photo.uuid) ?? drawn(photo, n);
  thumbs.set(photo.uuid, there);
  return there;
}

/** A picture on a canvas: the page takes pictures from the yard's server alone.
 * @param {Photo} photo @param {number} n @returns {Promise<HTMLElement>} */
async function drawn(photo, n) {
  const words = `Photo ${n + 1}: ${photo.words}, ${at(photo.made_at)}`;
  try {
    const seen = await createImageBitmap(new Blob([(await bytesOf(photo.uuid)) ?? new ArrayBuffer(0)]));
    const sheet = element("canvas", { role: "img", "aria-label": words });
    sheet.height = THUMB_PX;
    sheet.width = Math.max(1, Math.round((THUMB_PX * seen.width) / seen.height));
    sheet.getContext("2d")?.drawImage(seen, 0, 0, sheet.width, sheet.height);
    seen.close();
    return sheet;
  } catch {
    return element("p", {}, `${words}. This browser can't show it here.`);
  }
}

/** The page of what waits.
 * @param {Photo[]} photos */
async function onList(photos) {
  const place = document.getElementById("photos-here");
  if (!place) return;
  const mine = photos.filter((one) => one.person === me);
  const theirs = photos.length - mine.length;
  const words = [
    ...waitWords(mine.filter((one) => one.goes)),
    ...(mine.some((one) => !one.goes) ? [element("p", {}, "Some are of an entry that was not made yet: its form has them.")] : []),
    ...(theirs ? [element("p", {}, `${count(theirs, "photo of somebody else waits", "photos of others wait")} until they log in.`)] : []),
  ];
  const beside = (/** @type {Photo} */ one) => [element("p", {}, one.words), ...(one.goes ? decide(one) : [button("Throw this photo away", () => drop(one.uuid), "")])];
  await fill(place, mine, words, beside);
}
