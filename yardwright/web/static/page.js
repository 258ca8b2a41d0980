// Nothing typed is lost: each form keeps a draft on this device until the server has taken it.
// Without this script every page still works.

/** @param {HTMLFormElement} form */
const keyOf = (form) => `draft ${new URL(form.action).pathname} ${location.pathname}`;
const SKIP = new Set(["csrfmiddlewaretoken", "password", "uuid", "kept", "then", "next"]);

/** @param {HTMLFormElement} form */
const keeps = (form) => form.method === "post" && !form.querySelector("input[type=password]");

/** @param {HTMLFormElement} form */
function save(form) {
  const typed = [...new FormData(form)].filter(([name, value]) => !SKIP.has(name) && typeof value === "string");
  localStorage.setItem(keyOf(form), JSON.stringify(typed));
}

/** @param {HTMLFormElement} form */
function restore(form) {
  const draft = localStorage.getItem(keyOf(form));
  if (!draft || form.querySelector(".errorlist, .refused")) return; // the server sent it back itself
  for (const [name, value] of JSON.parse(draft)) {
    for (const field of form.querySelectorAll(`[name="${CSS.escape(name)}"]`)) {
      if (field.type === "checkbox" || field.type === "radio") field.checked ||= field.value === value;
      else if (field.type !== "hidden" && field.tagName !== "BUTTON") field.value = value;
    }
  }
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
document.addEventListener("htmx:afterRequest", dropTaken);
document.addEventListener("htmx:sendError", () => say("No answer from the yard's server. What you typed is kept here; try again."));
document.addEventListener("htmx:responseError", (event) => {
  if (event.detail.xhr.status === 401) say("You were logged out. What you typed is kept here: log in again, then send it.");
  else say("The server could not do that. What you typed is kept here; try again, then tell the manager.");
});
