// At the foot of every page: how many entries wait on this phone, and why.

import { isWell } from "./outbox.js";
import { notYours, trouble } from "./sync.js";
import { count, element } from "./words.js";

/** @typedef {import("./outbox.js").Row} Row */
/** @typedef {import("./outbox.js").Told} Told */

/** @param {Row[]} rows @param {Told[]} answers @param {import("./photos.js").Photo[]} photos those that go */
export function show(rows, answers, photos) {
  const me = Number(document.body.dataset.person);
  const aside = answers.filter((one) => one.person === me && !isWell(one)).length;
  const no = photos.filter((one) => one.no).length;
  const counted = [
    waits(rows.length, photos.filter((one) => !one.no).length),
    no ? `${count(no, "photo was", "photos were")} not taken.` : "",
    aside ? `${count(aside, "entry is", "entries are")} kept aside.` : "",
  ];
  const words = counted.filter(Boolean).join(" ");
  const why = rows.length > notYours.size ? trouble.says : "";
  const bar = document.getElementById("waits") ?? element("div", { id: "waits", class: "waits" });
  bar.hidden = !words;
  if (bar.dataset.says === words + why) return;
  bar.dataset.says = words + why;
  bar.replaceChildren(element("a", { href: "/phone/#waiting" }, words), element("span", { role: "status" }, why));
  if (trouble.log_in) bar.append(element("a", { href: `/sign-in/?next=${encodeURIComponent(location.pathname)}` }, "Log in"));
  document.body.append(bar);
}

/** @param {number} entries @param {number} photos */
function waits(entries, photos) {
  if (!photos) return entries ? `${count(entries, "entry waits", "entries wait")} on this phone.` : "";
  if (!entries) return `${count(photos, "photo waits", "photos wait")} on this phone.`;
  return `${count(entries, "entry", "entries")} and ${count(photos, "photo", "photos")} wait on this phone.`;
}
