// At the foot of every page: how many entries wait on this phone, and why.

import { isWell } from "./outbox.js";
import { notYours, trouble } from "./sync.js";
import { count, element } from "./words.js";

/** @typedef {import("./outbox.js").Row} Row */
/** @typedef {import("./outbox.js").Told} Told */

/** @param {Row[]} rows @param {Told[]} answers */
export function show(rows, answers) {
  const me = Number(document.body.dataset.person);
  const aside = answers.filter((one) => one.person === me && !isWell(one)).length;
  const counted = [
    rows.length ? `${count(rows.length, "entry waits", "entries wait")} on this phone.` : "",
    aside ? `${count(aside, "entry is", "entries are")} kept aside.` : "",
  ];
  const words = counted.filter(Boolean).join(" ");
  const why = rows.length > notYours.size ? trouble.says : "";
  const bar = document.getElementById("waits") ?? element("div", { id: "waits", class: "waits" });
  bar.hidden = !words;
  if (bar.dataset.says === words + why) return;
  bar.dataset.says = words + why;
  bar.replaceChildren(element("a", { href: "/phone/" }, words), element("span", { role: "status" }, why));
  if (trouble.log_in) bar.append(element("a", { href: `/sign-in/?next=${encodeURIComponent(location.pathname)}` }, "Log in"));
  document.body.append(bar);
}
