// Nothing typed is lost: each form keeps a draft on this device until the server has taken it.
// Without this script every page still works.

/** Where it is sent, the page with its question, and its place among those sent there: no other
 * form gets its draft, also when something before it on the page is done and gone.
 * @param {HTMLFormElement} form */
function keyOf(form) {
  const { pathname, search } = new URL(addressOf(form));
  const asked = new URLSearchParams(location.search);
  asked.delete("held");
  const place = [...document.forms].filter((other) => addressOf(other) === addressOf(form)).indexOf(form);
  return `draft ${pathname} ${search} ${location.pathname}?${asked} ${place}`;
}

/** Its number on this page, `once`, is another each time. A page has hundreds of forms: each is read once.
 * @param {HTMLFormElement} form */
function addressOf(form) {
  const known = addresses.get(form) ?? form.action.replace(/[?&]once=[^&]*$/, "");
  addresses.set(form, known);
  return known;
}
const addresses = new WeakMap();
const SKIP = new Set(["csrfmiddlewaretoken", "uuid", "kept", "then", "next"]);

/** @param {HTMLFormElement} form */
const keeps = (form) => form.method === "post" && !form.querySelector("[autocomplete=current-password]");

/** @param {HTMLFormElement} form */
function save(form) {
  const secret = new Set([...form.querySelectorAll("input[type=password]")].map((field) => field.name));
  const typed = [...new FormData(form)].filter(
    ([name, value]) => !SKIP.has(name) && !secret.has(name) && typeof value === "string",
  );
  localStorage.setItem(keyOf(form), JSON.stringify(typed));
}

/** @param {HTMLFormElement} form */
function restore(form) {
  const draft = localStorage.getItem(keyOf(form));
  if (!draft || form.querySelector(".errorlist, .refused")) return; // the server sent it back itself
  const typed = JSON.parse(draft);
  const before = JSON.stringify([...new FormData(form)]);
  for (const field of form.elements) {
    if (!field.name || SKIP.has(field.name) || ["hidden", "password", "file", "submit"].includes(field.type)) continue;
    const mine = typed.filter(([name]) => name === field.name).map(([, value]) => value);
    if (field.type === "checkbox" || field.type === "radio") field.checked = mine.includes(field.value);
    else if (mine.length) [field.value] = mine;
  }
  if (JSON.stringify([...new FormData(form)]) !== before) tellDraft(form);
}

/** What stands here is not what the yard holds: say so, and let it be dropped.
 * @param {HTMLFormElement} form */
function tellDraft(form) {
  if (form.querySelector("[data-draft]")) return;
  const line = document.createElement("p");
  line.dataset.draft = "";
  line.setAttribute("role", "status");
  line.textContent = "You typed this before and did not send it. ";
  const drop = document.createElement("button");
  drop.type = "button";
  drop.className = "link";
  drop.textContent = "Drop it";
  drop.addEventListener("click", () => {
    localStorage.removeItem(keyOf(form));
    form.reset();
    line.remove();
  });
  line.append(drop);
  form.prepend(line);
}

/** Drop the drafts of what the server says it has taken. */
function dropTaken() {
  const taken = document.cookie.split("; ").find((c) => c.startsWith("taken="));
  if (!taken) return;
  const path = decodeURIComponent(taken.slice(6)).replace(/^"|"$/g, "");
  for (const key of Object.keys(localStorage)) if (key.startsWith(`draft ${path} `)) localStorage.removeItem(key);
  document.cookie = "taken=; max-age=0; path=/; samesite=strict";
}

/** @param {string} sentence */
function say(sentence) {
  let line = document.getElementById("say");
  if (!line) {
    line = document.createElement("p");
    line.id = "say";
    line.className = "refused";
    line.setAttribute("role", "alert");
    document.getElementById("main")?.prepend(line);
  }
  line.textContent = sentence;
  line.scrollIntoView({ block: "center" });
}

dropTaken();
document.querySelectorAll("form").forEach((form) => keeps(form) && restore(form));
document.addEventListener("input", (event) => {
  const form = event.target instanceof Element ? event.target.closest("form") : null;
  if (form && keeps(form)) save(form);
});
document.addEventListener("unfolded", (event) => keeps(event.target) && restore(event.target)); // by phone/unfold.js
document.addEventListener("kept", (event) => localStorage.removeItem(keyOf(event.target))); // by phone/at_hand.js
document.addEventListener("htmx:afterRequest", (event) => {
  const { elt, xhr } = event.detail;
  dropTaken();
  const form = elt instanceof Element ? elt.closest("form") : null; // still there: it was only looked at
  if (form && form.isConnected && keeps(form) && !xhr.getResponseHeader("HX-Redirect")) save(form);
});
document.addEventListener("htmx:sendError", () => say("No answer from the yard's server. What you typed is kept here; try again."));
document.addEventListener("htmx:responseError", (event) => {
  if (event.detail.xhr.status === 401) say("You were logged out. What you typed is kept here: log in again, then send it.");
  else say("The server could not do that. What you typed is kept here; try again, then tell the manager.");
});
