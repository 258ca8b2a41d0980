// Between the pages and the yard's server: the network first, then the copy kept on this phone.
// The server writes SHELL (addresses) and EDITION (a hash of them all) above these lines.
/* global SHELL, EDITION */

const PAGES = "yardwright pages";
const PHOTOS = "yardwright small photos";
const SHELL_OF = "yardwright shell ";
const PATIENCE_MS = 2000;
const AT_HAND = /^\/boats\/([A-Za-z]{3})\/at-hand\/$/;
const BESIDE = /^\/boats\/[A-Za-z]{3}\/(under-wrap|finding|hose-run)\/$/;
const DAY = /^\/yard\/people\/\d+\/day\/$/;
const SMALL = /^\/photos\/[0-9a-f-]+-small\.jpg$/;
const NO_SIGNAL = SHELL.find((address) => address.endsWith("/no_signal.html"));

self.addEventListener("install", (event) => {
  const fresh = SHELL.map((address) => new Request(address, { cache: "reload" }));
  const filled = caches.open(SHELL_OF + EDITION).then((shell) => shell.addAll(fresh));
  event.waitUntil(filled.then(() => self.skipWaiting()));
});

self.addEventListener("activate", (event) => {
  const old = (names) => names.filter((name) => name.startsWith(SHELL_OF) && name !== SHELL_OF + EDITION);
  const dropped = caches.keys().then((names) => Promise.all(old(names).map((name) => caches.delete(name))));
  event.waitUntil(dropped.then(() => self.clients.claim()));
});

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const { origin, pathname, search } = new URL(request.url);
  if (origin !== location.origin) return;
  const keeps = request.method === "GET" && isKept(pathname, search);
  if (request.mode === "navigate") event.respondWith(page(event, pathname, keeps));
  else if (keeps) event.respondWith(fetchAndKeep(request, pathname));
  else if (request.method === "GET" && SHELL.includes(pathname)) event.respondWith(ofShell(request, pathname));
  else if (request.method === "GET" && SMALL.test(pathname)) event.respondWith(ofPhotos(request, pathname));
});

/** Somebody's day is today's: another is asked for behind a question mark. */
const isKept = (pathname, search) => pathname === "/phone/" || (pathname === "/freeze-tonight/" && search === "") || AT_HAND.test(pathname) || BESIDE.test(pathname) || (DAY.test(pathname) && search === "");

/** Her tag is one address, however it is typed. */
const addressOf = (pathname) => pathname.replace(/^\/boats\/[A-Za-z]{3}\//, (boat) => `/boats/${boat.slice(7, 10).toUpperCase()}/`);

async function ofShell(request, pathname) {
  const shell = await caches.open(SHELL_OF + EDITION);
  return (await shell.match(pathname)) ?? fetch(request);
}

const ofPhotos = async (request, pathname) => (await (await caches.open(PHOTOS)).match(pathname)) ?? fetch(request);

const copyOf = async (pathname) => (await caches.open(PAGES)).match(addressOf(pathname), { ignoreVary: true });

/** How often somebody began or ended logging out: what was asked for before is not kept after. */
let log_outs = 0;

/** A page keeps its own copy fresh; its answer comes when that is done. */
async function fetchAndKeep(request, pathname) {
  const asked_at = log_outs;
  const answer = await fetch(request);
  await keep(pathname, answer.clone(), asked_at);
  return answer;
}

/** Never a log-in page under a boat's address, nor the page of somebody who has gone. */
async function keep(pathname, answer, asked_at) {
  if (!answer.ok || answer.redirected) return;
  const page = await answer.text();
  const photos = await photosOf(page);
  const headers = new Headers(answer.headers);
  headers.set("X-Kept-At", new Date().toISOString());
  headers.set("X-Size", String(page.length + photos.reduce((sum, [, photo]) => sum + Number(photo.headers.get("Content-Length")), 0)));
  headers.set("X-Photos", photos.map(([address]) => address).join(" "));
  headers.set("X-Edition", /data-edition="([^"]*)"/.exec(page)?.[1] ?? "");
  const pages = await caches.open(PAGES);
  if (asked_at !== log_outs) return;
  await pages.put(addressOf(pathname), new Response(page, { headers }));
  const small = await caches.open(PHOTOS);
  for (const [address, photo] of photos) if (asked_at === log_outs) await small.put(address, photo);
  await keepBeside(pathname, page);
}

/** With her page come those for what lies under her wrap, for what is found on her, and for her hose run. */
async function keepBeside(pathname, page) {
  if (!AT_HAND.test(pathname)) return;
  for (const [, address] of page.matchAll(/href="?(\/boats\/[A-Z]{3}\/(?:under-wrap|finding|hose-run)\/)[" >]/g)) {
    const answer = await fetch(address).catch(() => undefined);
    if (answer) await keep(address, answer, log_outs);
  }
}

/** The small photos that a page shows, as they are kept or fetched; one that does not come is left out. */
async function photosOf(page) {
  const small = await caches.open(PHOTOS);
  const named = [...page.matchAll(/src="(\/photos\/[0-9a-f-]+-small\.jpg)"/g)].map(([, address]) => address);
  const found = [];
  for (const address of new Set(named)) {
    const photo = (await small.match(address)) ?? (await fetch(address).catch(() => undefined));
    if (photo?.ok && !photo.redirected) found.push([address, photo]);
  }
  return found;
}

async function page(event, pathname, keeps) {
  const { request } = event;
  const logs_out = request.method === "POST" && pathname === "/sign-out/";
  if (logs_out) log_outs += 1;
  const [asked, asked_at] = [fetch(request), log_outs];
  if (keeps) event.waitUntil(asked.then((answer) => keep(pathname, answer.clone(), asked_at)).catch(() => {}));
  const copy = keeps ? await copyOf(pathname) : undefined;
  try {
    const answer = await (copy ? soon(asked) : asked);
    if (copy && answer.status >= 500) return asCopy(copy);
    if (logs_out) await forget();
    return answer;
  } catch {
    return copy ? asCopy(copy) : noSignal(request, pathname);
  }
}

async function forget() {
  log_outs += 1;
  await Promise.all([PAGES, PHOTOS].map((name) => caches.delete(name)));
}

/** One bar of signal is worse than none. */
function soon(asked) {
  const late = new Promise((_, no) => setTimeout(() => no(new Error("late")), PATIENCE_MS));
  return Promise.race([asked, late]);
}

/** The page says itself that it is a copy. */
async function asCopy(copy) {
  const page = await copy.text();
  const says = page.replace("<body", `<body data-copy-of="${copy.headers.get("X-Kept-At")}"`);
  return new Response(says, { headers: copy.headers });
}

/** In place of the browser's own words: the boat, if she is at hand, or what can be done. */
async function noSignal(request, pathname) {
  const tag = (/^\/boats\/([A-Za-z]{3})\//.exec(pathname)?.[1] ?? askedFor(request)).toUpperCase();
  const at_hand = `/boats/${tag}/at-hand/`;
  const is_here = tag !== "" && (await copyOf(at_hand)) !== undefined;
  const asked_for_her = pathname === "/boats/" || /^\/boats\/[A-Za-z]{3}\/$/.test(pathname);
  if (is_here && asked_for_her && request.method === "GET") return Response.redirect(at_hand);
  const page = await (await (await caches.open(SHELL_OF + EDITION)).match(NO_SIGNAL)).text();
  const link = `<a class="btn tap" href="${at_hand}">${tag} is on this phone</a>`;
  const says = is_here ? page.replace("<!-- her page -->", link) : page;
  return new Response(says, { status: 503, headers: { "Content-Type": "text/html; charset=utf-8" } });
}

/** Three letters typed where a boat is looked for. */
function askedFor(request) {
  const asked = new URL(request.url).searchParams.get("q")?.trim() ?? "";
  return /^[A-Za-z]{3}$/.test(asked) ? asked : "";
}
