// The scripts one by one, in node: `node scripts.test.js`.

import assert from "node:assert/strict";
import test from "node:test";
import { IDBFactory } from "fake-indexeddb";
import { carry } from "../../../src/hardpan/site/phone/static/phone/carry.js";
import { openDatabase, STEPS } from "../../../src/hardpan/site/phone/static/phone/database.js";
import { deviceTime, newEntry, newId } from "../../../src/hardpan/site/phone/static/phone/entry.js";
import { openQueue } from "../../../src/hardpan/site/phone/static/phone/queue.js";
import { startSender } from "../../../src/hardpan/site/phone/static/phone/sender.js";
import { ModelServer, problems } from "./model_server.js";

const STREET = "kestrel-road";
const NOON = Date.UTC(2026, 5, 9, 12);
const timers = { set: setTimeout, clear: clearTimeout };

/** A phone of one tab, its server, and a clock that a test sets. */
async function setUp({ role = "operator", ...more } = {}) {
  const clock = { at: NOON };
  const server = new ModelServer({ street: STREET, now: () => clock.at, newEpoch: () => "first" });
  const posts = [];
  const fetch = async (url, { method, body }) => {
    if (body) posts.push(JSON.parse(body));
    const { status, plain } = server.handle({ method, body, since: Number(url.split("=")[1]), role });
    return new Response(JSON.stringify(plain), { status });
  };
  const heard = [];
  const given = { street: STREET, fetch, indexedDB: new IDBFactory(), locks: null, timers, now: () => clock.at };
  const queue = await openQueue({ ...given, onChange: (counts) => heard.push(counts), ...more });
  const entry = (note, told = {}) =>
    newEntry({ street: STREET, kind: "note", role, device: queue.device, payload: { note }, ...told }, { now: given.now });
  return { clock, server, posts, queue, entry, given, heard };
}

const answering = (status, plain, headers = {}) => ({ fetch: async () => new Response(JSON.stringify(plain), { status, headers }) });

test("an id is a UUID of version 7: the example of RFC 9562, appendix A.6", () => {
  // unix_ts_ms 0x017F22E279B0, rand_a 0xCC3, rand_b 0b01 0x8C4DC0C0C07398F
  const random = () => new Uint8Array([0, 0, 0, 0, 0, 0, 0xfc, 0xc3, 0xd8, 0xc4, 0xdc, 0x0c, 0x0c, 0x07, 0x39, 0x8f]);
  assert.equal(newId(() => 0x017f22e279b0, random), "017f22e2-79b0-7cc3-98c4-dc0c0c07398f");
});

test("ids sort as they were made, and no two are the same", () => {
  const ids = Array.from({ length: 2_000 }, (_, count) => newId(() => NOON + count));
  assert.deepEqual([...ids].sort(), ids);
  assert.equal(new Set(Array.from({ length: 2_000 }, () => newId(() => NOON))).size, 2_000);
});

test("times carry the device's offset, in summer and winter, east and west", () => {
  const zone = process.env.TZ;
  for (const [place, time, written] of [
    ["America/Edmonton", Date.UTC(2026, 4, 4, 14, 5), "2026-05-04T08:05:00-06:00"],
    ["America/Edmonton", Date.UTC(2026, 11, 4, 14, 5), "2026-12-04T07:05:00-07:00"],
    ["America/St_Johns", Date.UTC(2026, 4, 4, 14, 5), "2026-05-04T11:35:00-02:30"],
    ["Asia/Kathmandu", Date.UTC(2026, 4, 4, 14, 5), "2026-05-04T19:50:00+05:45"],
    ["UTC", Date.UTC(2026, 4, 4, 14, 5), "2026-05-04T14:05:00+00:00"],
  ]) {
    process.env.TZ = place;
    assert.equal(deviceTime(time), written);
  }
  assert.equal(deviceTime(NOON + 123, true), "2026-06-09T12:00:00.123+00:00");
  if (zone === undefined) delete process.env.TZ;
  else process.env.TZ = zone;
});

test("counts follow an entry from here to sent", async () => {
  const { queue, entry, clock, posts, heard } = await setUp();
  assert.deepEqual(await queue.counts(), { here: 0, sent: 0, refused: 0, oldestUnsentDays: 0, why: "" });
  await queue.add(entry("one"));
  clock.at += 3.5 * 86_400_000;
  await queue.add(entry("two"));
  assert.deepEqual(await queue.counts(), { here: 2, sent: 0, refused: 0, oldestUnsentDays: 3, why: "" });
  assert.deepEqual(await queue.send(), { wait: null, why: "" });
  assert.deepEqual(await queue.counts(), { here: 0, sent: 2, refused: 0, oldestUnsentDays: 0, why: "" });
  assert.deepEqual((await queue.entries()).map(({ entry: { payload }, state, epoch, sequence }) => [payload.note, state, epoch, sequence]), [
    ["one", "sent", "first", 1],
    ["two", "sent", "first", 2],
  ]);
  assert.equal(posts.length, 1);
  assert.deepEqual(heard.at(-1), await queue.counts());
});

test("a post says when it was sent and what the phone last heard", async () => {
  const { queue, entry, posts, clock } = await setUp();
  await queue.add(entry("one"));
  await queue.send();
  clock.at += 1_500;
  await queue.add(entry("two"));
  await queue.send();
  const { entries, ...clocks } = posts[1];
  assert.equal(entries.length, 1);
  assert.equal(posts[0].heard_at, undefined);
  const heard = { heard_at: deviceTime(NOON, true), heard_said: new Date(NOON).toISOString() };
  assert.deepEqual(clocks, { sent_at: deviceTime(NOON + 1_500, true), ...heard });
});

test("a clock that never was set is not told", async () => {
  const { queue, entry, posts, clock, server } = await setUp();
  clock.at = Date.UTC(1980, 0, 6);
  await queue.add(entry("one"));
  assert.deepEqual(await queue.send(), { wait: null, why: "" });
  assert.deepEqual(Object.keys(posts[0]), ["entries"]);
  assert.equal(server.ledger.size, 1);
});

test("two hundred entries go in order, fifty at a time", async () => {
  const { queue, entry, posts, server } = await setUp();
  for (let number = 0; number < 200; number++) await queue.add(entry(`note ${number}`));
  await queue.send();
  assert.deepEqual(posts.map(({ entries }) => entries.length), [50, 50, 50, 50]);
  assert.deepEqual([...server.ledger.values()].map(({ entry: { payload } }) => payload.note), Array.from({ length: 200 }, (_, number) => `note ${number}`));
});

test("the same entry twice is one; another under its id is a fault of the page", async () => {
  const { queue, entry } = await setUp();
  const one = entry("one");
  await queue.add(one);
  await queue.add({ ...one });
  assert.equal((await queue.counts()).here, 1);
  await assert.rejects(queue.add({ ...one, payload: { note: "other" } }), { message: `another entry has the id ${one.id}` });
  assert.deepEqual((await queue.entries()).map(({ entry: { payload } }) => payload.note), ["one"]);
});

test("what is refused is kept, says why, and can be sent again", async () => {
  const { queue, entry, server } = await setUp();
  const wrong = entry("mine", { role: "reviewer" });
  await queue.add(wrong);
  await queue.add(entry("other"));
  await queue.send();
  const [refused, other] = await queue.entries();
  assert.deepEqual([refused.state, refused.reason[0].where, other.state], ["refused", "role", "sent"]);
  const handle = server.handle.bind(server);
  server.handle = (asked) => handle({ ...asked, role: "reviewer" });
  await queue.again(wrong.id);
  await queue.send();
  assert.deepEqual(await queue.counts(), { here: 0, sent: 2, refused: 0, oldestUnsentDays: 0, why: "" });
});

test("another epoch, heard of anywhere, sends all again", async () => {
  const { queue, entry, server, posts } = await setUp();
  await queue.add(entry("one"));
  await queue.send();
  server.newEpoch = () => "second";
  server.restore({ ledger: new Map(), keptApart: new Map() });
  await queue.epochSeen("first");
  assert.equal((await queue.counts()).sent, 1);
  await queue.epochSeen("second");
  assert.deepEqual(await queue.counts(), { here: 1, sent: 0, refused: 0, oldestUnsentDays: 0, why: "" });
  await queue.send();
  assert.deepEqual((await queue.entries()).map(({ state, epoch }) => [state, epoch]), [["sent", "second"]]);
  assert.equal(posts.length, 2);
});

for (const [name, status, plain, headers, told] of [
  ["who has to join again", 401, problems("nobody"), {}, { wait: 300_000, why: "not let in" }],
  ["a role that may not", 403, problems("role"), {}, { wait: 300_000, why: "not let in" }],
  ["a server that asks to wait", 429, problems("often"), { "Retry-After": "9" }, { wait: 9_000, why: "busy" }],
  ["a server that is broken", 500, problems("fault"), {}, { wait: undefined, why: "busy" }],
  ["another network's page", 403, "pay", {}, { wait: undefined, why: "no signal" }],
  ["a post without answers", 200, { epoch: "e", said_at: "t", answers: [] }, {}, { wait: undefined, why: "no signal" }],
])
  test(`${name} leaves entries here and says why`, async () => {
    const { queue, entry } = await setUp(answering(status, plain, headers));
    await queue.add(entry("one"));
    assert.deepEqual(await queue.send(), told);
    assert.deepEqual(await queue.counts(), { here: 1, sent: 0, refused: 0, oldestUnsentDays: 0, why: told.why });
  });

test("a full disk says so, and keeps what it had", async () => {
  const indexedDB = new IDBFactory();
  const { queue, entry } = await setUp({ indexedDB });
  await queue.add(entry("one"));
  const store = Object.getPrototypeOf(await aStore(indexedDB));
  const { add } = store;
  store.add = () => {
    throw new DOMException("no room", "QuotaExceededError");
  };
  try {
    await assert.rejects(queue.add(entry("two")), { name: "StorageError", code: "full" });
  } finally {
    store.add = add;
  }
  assert.deepEqual((await queue.entries()).map(({ entry: { payload } }) => payload.note), ["one"]);
});

async function aStore(indexedDB) {
  let found;
  await openDatabase(indexedDB).look(async ({ entries }) => (found = entries));
  return found;
}

test("a browser without storage says so", async () => {
  await assert.rejects(setUp({ indexedDB: undefined }), { name: "StorageError", code: "no storage" });
});

test("a device has one name, whichever page asks first, and a later issue's page changes nothing of it", async () => {
  const indexedDB = new IDBFactory();
  const both = await Promise.all([setUp({ indexedDB }), setUp({ indexedDB })]);
  const [one, other] = both.map(({ queue }) => queue.device);
  assert.match(one, /^[0-9a-f]{24}$/);
  assert.equal(one, other);
  const later = await setUp({ indexedDB, steps: [...STEPS, (database) => database.createObjectStore("later")] });
  assert.equal(later.queue.device, one);
  await both[0].queue.add(both[0].entry("by the earlier page, open all the while"));
  assert.equal((await later.queue.counts()).here, 1);
  assert.equal((await setUp({ indexedDB })).queue.device, one);
});

test("an exported file is carried by a foreman, as far as the server lets them, and twice stores once", async () => {
  const { queue, entry, server } = await setUp(answering(500, problems("fault")));
  await queue.add(entry("one"));
  await queue.add(entry("two"));
  await queue.add(entry("\u0000"));
  const text = (await (await queue.exportFile()).text()) + "no line\n";
  const as = (role) => ({
    street: STREET,
    timers,
    fetch: async (_url, { method, body }) => {
      const { status, plain } = server.handle({ method, body, role });
      return new Response(JSON.stringify(plain), { status });
    },
  });
  const refused = await carry(text, as("foreman"));
  assert.deepEqual([refused.stored, refused.refused.map(({ reason }) => reason[0].where)], [0, ["role", "role", "body"]]);
  const carried = await carry(text, as("operator"));
  assert.deepEqual([carried.stored, carried.already, carried.refused.length, carried.unreadable], [2, 0, 1, [4]]);
  assert.deepEqual([...server.ledger.values()].map(({ entry: { payload } }) => payload.note), ["one", "two"]);
  assert.equal((await carry(text, as("operator"))).already, 2);
});

test("the wait doubles to five minutes; a tap shortens it, signal ends it, the server's own word stands", async () => {
  const planned = [];
  let outcome = { wait: undefined };
  let sent = 0;
  const send = async () => (sent++, outcome);
  const sender = startSender({ send, now: () => NOON, chance: () => 0, timers: { set: (run, wait) => planned.push({ run, wait }), clear: () => {} } });
  await sender.wake();
  for (let count = 0; count < 9; count++) await planned.at(-1).run();
  assert.deepEqual(planned.map(({ wait }) => wait / 1_000), [2, 4, 8, 16, 32, 64, 128, 256, 300, 300]);
  await sender.nudge();
  assert.equal(planned.at(-1).wait, 15_000);
  outcome = { wait: 120_000 };
  await planned.at(-1).run();
  await sender.nudge();
  assert.deepEqual([planned.at(-1).wait, sent], [120_000, 11]);
  outcome = { wait: null };
  await sender.wake();
  assert.deepEqual([planned.at(-1).wait, sent], [300_000, 12]);
  await sender.nudge();
  assert.equal(sent, 13);
});
