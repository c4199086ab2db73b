// The worker as the site sends it (its path is the argument), between a cache and a network of our own.

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import test from "node:test";
import vm from "node:vm";

const SCRIPT = readFileSync(process.argv[2], "utf8");
const SITE = "https://site.test";
const [, VERSION] = SCRIPT.match(/const VERSION = "([0-9a-f]{16})";/);
const KEPT = JSON.parse(SCRIPT.match(/const KEPT = (\[[^\]]*\])/)[1]);
const PAGE = "/phone/kestrel-road/";

/** A browser's caches, as far as the worker asks of them; a full disk takes nothing. */
class Caches {
  constructor() {
    this.all = new Map();
  }
  keys = async () => [...this.all.keys()];
  delete = async (name) => this.all.delete(name);
  open = async (name) => {
    const kept = this.all.get(name) ?? this.all.set(name, new Map()).get(name);
    const path = (asked) => new URL(asked.url ?? asked, SITE).pathname;
    return {
      keys: async () => [...kept.keys()].map((pathname) => ({ url: SITE + pathname })),
      match: async (asked) => kept.get(path(asked))?.clone(),
      put: async (asked, answer) => {
        if (this.full) throw new DOMException("", "QuotaExceededError");
        kept.set(path(asked), answer);
      },
      addAll: async (list) => {
        const answers = await Promise.all(list.map((one) => this.fetch(one)));
        if (answers.some(({ ok }) => !ok)) throw new TypeError("not all there");
        list.forEach((one, place) => kept.set(path(one), answers[place]));
      },
    };
  };
}

/** A worker of a version in a browser. */
function worker(caches, fetch, version = VERSION) {
  const heard = {};
  const patience = [];
  const self = { location: { origin: SITE }, clients: { claim: async () => {} }, skipWaiting: async () => {} };
  self.addEventListener = (name, listener) => (heard[name] = listener);
  caches.fetch = fetch;
  const setTimeout = (run, delay, ...told) => patience.push({ delay, end: () => run(...told) });
  vm.runInNewContext(SCRIPT.replace(VERSION, version), { self, caches, fetch, URL, setTimeout, Promise, Set });
  const said = (name, event = {}) => {
    const waits = [];
    let answer = null;
    heard[name]({ ...event, waitUntil: (promise) => waits.push(promise), respondWith: (promise) => (answer = promise) });
    return { answer, done: Promise.all(waits) };
  };
  const request = (path, told = {}) => said("fetch", { request: { method: "GET", url: new URL(path, SITE).href, ...told } });
  const keep = async (pages) => {
    let told;
    await said("message", { data: { keep: pages }, ports: [{ postMessage: (word) => (told = word) }] }).done;
    return told;
  };
  return { install: () => said("install").done, activate: () => said("activate").done, request, keep, patience };
}

const text = (words, told) => new Response(words, told);
const network = (more = {}) => async (asked) => {
  const { pathname } = new URL(asked.url ?? asked, SITE);
  const answer = more[pathname];
  return answer ? answer() : text(`file ${pathname}`);
};
const noSignal = async () => {
  throw new TypeError("no signal");
};
const cacheOf = (caches, version = VERSION) => [...(caches.all.get(`hardpan-${version}`)?.keys() ?? [])].sort();

async function standing(caches = new Caches()) {
  const first = worker(caches, network({ [PAGE]: () => text("page") }));
  await first.install();
  await first.activate();
  assert.equal(await first.keep([PAGE]), "kept");
  return caches;
}

test("an install waits until every file is there", async () => {
  const caches = new Caches();
  await worker(caches, network()).install();
  assert.deepEqual(cacheOf(caches), [...KEPT].sort());
  assert.ok(KEPT.length > 5);
});

test("an install in which one file fails is none, and leaves what was kept", async () => {
  const caches = await standing();
  const broken = network({ [KEPT.at(-1)]: () => text("", { status: 404 }) });
  await assert.rejects(worker(caches, broken, "0000000000000000").install(), { name: "TypeError" });
  assert.deepEqual(cacheOf(caches), [PAGE, ...KEPT].sort());
});

test("without signal the page and its files come from the cache", async () => {
  const later = worker(await standing(), noSignal);
  assert.equal(await (await later.request(PAGE).answer).text(), "page");
  assert.equal(await (await later.request(`${PAGE}?from=qr`).answer).text(), "page");
  assert.equal(await (await later.request(KEPT[0]).answer).text(), `file ${KEPT[0]}`);
  await assert.rejects(later.request("/phone/other-street/").answer, { message: "no signal" });
});

test("files come from the cache without asking", async () => {
  const asked = [];
  const later = worker(await standing(), async (request) => (asked.push(request), text("new")));
  assert.equal(await (await later.request(KEPT[0]).answer).text(), `file ${KEPT[0]}`);
  assert.deepEqual(asked, []);
});

test("with signal the page is fresh, and kept", async () => {
  const caches = await standing();
  const { answer, done } = worker(caches, network({ [PAGE]: () => text("fresh") })).request(PAGE);
  assert.equal(await (await answer).text(), "fresh");
  await done;
  assert.equal(await (await worker(caches, noSignal).request(PAGE).answer).text(), "fresh");
});

test("a page that takes longer than three seconds is shown as kept, and kept anew when it comes", async () => {
  const caches = await standing();
  let come;
  const later = worker(caches, () => new Promise((resolve) => (come = () => resolve(text("late")))));
  const { answer, done } = later.request(PAGE);
  await new Promise(setImmediate);
  assert.deepEqual(later.patience.map(({ delay }) => delay), [3000]);
  later.patience[0].end();
  assert.equal(await (await answer).text(), "page");
  come();
  await done;
  assert.equal(await (await worker(caches, noSignal).request(PAGE).answer).text(), "late");
});

test("a broken server shows the kept page; a way to the sign-in page is shown and not kept", async () => {
  const caches = await standing();
  const broken = worker(caches, network({ [PAGE]: () => text("bad gateway", { status: 502 }) })).request(PAGE);
  assert.equal(await (await broken.answer).text(), "page");
  await broken.done;
  const away = Object.defineProperty(Response.error(), "type", { value: "opaqueredirect" });
  const signIn = worker(caches, network({ [PAGE]: () => away })).request(PAGE);
  assert.equal((await signIn.answer).type, "opaqueredirect");
  await signIn.done;
  assert.equal(await (await worker(caches, noSignal).request(PAGE).answer).text(), "page");
});

test("a page for another worker's files is shown and not kept beside these", async () => {
  const caches = await standing();
  const newer = () => text("newer", { headers: { "Hardpan-Worker": "1111111111111111" } });
  const { answer, done } = worker(caches, network({ [PAGE]: newer })).request(PAGE);
  assert.equal(await (await answer).text(), "newer");
  await done;
  assert.equal(await (await worker(caches, noSignal).request(PAGE).answer).text(), "page");
});

test("the next worker takes the pages over before it throws the earlier files away", async () => {
  const caches = await standing();
  caches.all.set("another program's", new Map());
  const next = worker(caches, network({ [PAGE]: () => text("of the next") }), "2222222222222222");
  await next.install();
  assert.deepEqual([cacheOf(caches), cacheOf(caches, "2222222222222222")], [[PAGE, ...KEPT].sort(), [PAGE, ...KEPT].sort()]);
  await next.activate();
  assert.deepEqual(await caches.keys(), ["another program's", "hardpan-2222222222222222"]);
  const later = worker(caches, noSignal, "2222222222222222");
  assert.equal(await (await later.request(PAGE).answer).text(), "of the next");
});

test("the next worker that cannot have the pages leaves all as it was", async () => {
  const caches = await standing();
  const next = worker(caches, network({ [PAGE]: noSignal }), "2222222222222222");
  await assert.rejects(next.install(), { message: "no signal" });
  assert.equal(await (await worker(caches, noSignal).request(PAGE).answer).text(), "page");
});

test("the API, posts and other sites are none of its business", async () => {
  const caches = await standing();
  const later = worker(caches, async () => assert.fail("asked"));
  for (const [path, told] of [
    ["/api/streets/kestrel-road/entries", {}],
    ["/api/streets/kestrel-road/state", {}],
    [PAGE, { method: "POST" }],
    ["https://other.test/phone/kestrel-road/", {}],
    ["/streets/kestrel-road/", {}],
    ["/worker.js", {}],
  ])
    assert.equal(later.request(path, told).answer, null, path);
  assert.equal(await worker(caches, noSignal).keep(["/phone/kestrel-road/far/"]), "not kept");
  assert.deepEqual(cacheOf(caches), [PAGE, ...KEPT].sort());
});

test("a full disk takes nothing from the page that is shown", async () => {
  const caches = await standing();
  caches.full = true;
  const { answer, done } = worker(caches, network({ [PAGE]: () => text("fresh") })).request(PAGE);
  assert.equal(await (await answer).text(), "fresh");
  await done;
});
