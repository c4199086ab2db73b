// Keeps a phone's pages for when there is no signal. Entries are no business of its own: they lie in the queue's database.
"use strict";

const VERSION = {{ version|safe }};
const KEPT = {{ kept|safe }};
const FAMILY = "hardpan-";
const CACHE = FAMILY + VERSION;
const PATIENCE = 3000; // milliseconds that a page may take before the kept one is shown
const PAGE = /^\/(phone|board)\//;

self.addEventListener("install", (event) => event.waitUntil(install()));
self.addEventListener("activate", (event) => event.waitUntil(activate()));
self.addEventListener("message", (event) => {
  const done = keepPages(event.data.keep).then(() => "kept", () => "not kept");
  event.waitUntil(done.then((told) => event.ports[0].postMessage(told)));
});
self.addEventListener("fetch", (event) => {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  if (request.method !== "GET" || origin !== self.location.origin) return;
  if (KEPT.includes(pathname)) event.respondWith(file(request));
  else if (PAGE.test(pathname)) page(event);
});

// All or nothing: an install that fails leaves the worker before this one, and all that it keeps, as they were.
async function install() {
  const cache = await caches.open(CACHE);
  await cache.addAll(KEPT);
  await keepPages(await keptPages());
  await self.skipWaiting();
}

async function activate() {
  for (const name of await caches.keys()) if (name.startsWith(FAMILY) && name !== CACHE) await caches.delete(name);
  await self.clients.claim();
}

// Pages that the workers before this one kept.
async function keptPages() {
  const pages = new Set();
  for (const name of await caches.keys())
    if (name.startsWith(FAMILY))
      for (const { url } of await (await caches.open(name)).keys()) if (PAGE.test(new URL(url).pathname)) pages.add(url);
  return pages;
}

async function keepPages(pages) {
  const answers = [];
  for (const page of pages) answers.push(keep(page, await fetch(page, { cache: "no-store", redirect: "manual" })));
  await Promise.all(answers);
}

// A page made for another worker's files is not kept beside these; nor is a way to the sign-in page, or a fault.
async function keep(address, answer) {
  if (!answer.ok || (answer.headers.get("Hardpan-Worker") ?? VERSION) !== VERSION) return;
  await (await caches.open(CACHE)).put(new URL(address, self.location.origin).pathname, answer);
}

async function file(request) {
  return (await (await caches.open(CACHE)).match(request, { ignoreVary: true })) ?? fetch(request);
}

function page(event) {
  const { pathname } = new URL(event.request.url);
  const fetched = fetch(event.request);
  event.waitUntil(fetched.then((answer) => keep(pathname, answer.clone())).catch(() => {})); // a full disk spoils no page that is shown
  event.respondWith(freshOrKept(fetched, pathname));
}

async function freshOrKept(fetched, pathname) {
  const kept = await (await caches.open(CACHE)).match(pathname, { ignoreVary: true });
  if (!kept) return fetched;
  const fresh = fetched.then((answer) => (answer.status >= 500 ? kept : answer));
  const late = new Promise((resolve) => setTimeout(resolve, PATIENCE, kept));
  return Promise.race([fresh, late]).catch(() => kept);
}
