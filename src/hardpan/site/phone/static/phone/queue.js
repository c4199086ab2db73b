// The queue of one street on one phone: an entry is "here" from the moment the disk has it, "sent" when the server said that it
// has it, "refused" when the server said that it will not take it. Every function gives a promise.
//
//   add(entry)       resolves when the entry is on the disk; rejects with a StorageError when it is not, and then nothing changed
//   counts()         {here, sent, refused, oldestUnsentDays, why}; `why` says what keeps entries here: see sender.js
//   send()           {wait}: null when all is sent, else milliseconds until the next try
//   entries()        [{entry, state, epoch, sequence, reason}] in order of entry
//   exportFile()     Blob of JSON Lines, as a ledger has them, of what the server does not have
//   epochSeen(epoch) another life of the store: what was sent in an earlier one is here again
//   again(id)        a refused entry is here again, to be sent once more
//   device           name of this device

import { newDevice, randomBytes } from "./entry.js";
import { ask, openDatabase } from "./database.js";
import { sendAll } from "./sender.js";
import { turns } from "./turn.js";

const DAY = 86_400_000;
const KEPT_AFTER_BACKUP = 30 * DAY; // a backup holds it by then, and the one before, and the one before that

export async function openQueue(options) {
  const given = { ...defaults(), ...options };
  const { street, now, onChange, channel } = given;
  const database = openDatabase(given.indexedDB, given.steps);
  const device = given.device ?? (await database.change((stores) => deviceName(stores, given.random)));
  const takeTurn = turns({ ...given, database, holder: newDevice(given.random) });
  let why = "";

  async function changed({ told = false } = {}) {
    if (!told) channel?.postMessage(street);
    onChange?.(await counts());
  }
  if (channel) channel.onmessage = ({ data }) => data === street && changed({ told: true }).catch(() => {});

  async function change(work) {
    const value = await database.change(work);
    changed().catch(() => {}); // what is written is written, whether or not it can be counted now
    return value;
  }

  function add(entry) {
    return change((stores) => put(stores, { street, state: "here", entry, id: entry.id, added_at: now() }));
  }

  function counts() {
    return database.look(async ({ entries }) => {
      const standing = entries.index("standing");
      const count = (state) => ask(standing.count([street, state]));
      const oldest = await ask(standing.get([street, "here"]));
      const days = oldest ? Math.max(0, Math.floor((now() - oldest.added_at) / DAY)) : 0;
      const [here, sent, refused] = [await count("here"), await count("sent"), await count("refused")];
      return { here, sent, refused, oldestUnsentDays: days, why: here ? why : "" };
    });
  }

  async function send() {
    const outcome = await takeTurn((renew) => sendAll({ ...given, renew, next, heard, settle, refuse }));
    if (outcome.why !== why) {
      why = outcome.why;
      changed().catch(() => {});
    }
    return outcome;
  }

  const next = (most) => database.look(({ entries }) => ask(entries.index("standing").getAll([street, "here"], most)));

  const heard = () => database.look(async ({ kept }) => (await ask(kept.get(`heard ${street}`))) ?? {});

  /** Write down what the server answered, all of it or nothing. */
  const settle = (answer, heardAt) => change((stores) => write(stores, answer, { street, heardAt }));

  const refuse = (record, reason) => change(({ entries }) => ask(entries.put({ ...record, state: "refused", reason })));

  const records = () => database.look(({ entries }) => ask(entries.index("street").getAll(street)));

  const entries = async () =>
    (await records()).map(({ entry, state, epoch, sequence, reason }) => ({ entry, state, epoch, sequence, reason }));

  async function exportFile() {
    const lines = (await records()).filter(({ state }) => state !== "sent").map(({ entry }) => JSON.stringify({ entry }) + "\n");
    return new Blob(lines, { type: "application/jsonl" });
  }

  const epochSeen = (epoch) => change((stores) => write(stores, { epoch }, { street }));

  const again = (id) =>
    change(async ({ entries }) => {
      const record = await ask(entries.index("id").get(id));
      if (record?.state === "refused") await ask(entries.put(hereAgain(record)));
    });

  return { device, add, counts, send, entries, exportFile, epochSeen, again };
}

function defaults() {
  const { fetch, indexedDB, navigator, setTimeout, clearTimeout } = globalThis;
  return {
    fetch: fetch?.bind(globalThis),
    indexedDB,
    locks: navigator?.locks,
    timers: { set: setTimeout.bind(globalThis), clear: clearTimeout.bind(globalThis) },
    now: Date.now,
    random: randomBytes,
    channel: null,
    onChange: null,
  };
}

async function deviceName({ kept }, random) {
  const found = await ask(kept.get("device"));
  if (found) return found.value;
  const value = newDevice(random);
  await ask(kept.put({ name: "device", value }));
  return value;
}

/** Write a new record; the same entry again is no second one, another entry under its id is a fault of the page. */
async function put({ entries }, record) {
  const there = await ask(entries.index("id").get(record.id));
  if (!there) await ask(entries.add(record));
  else if (JSON.stringify(there.entry) !== JSON.stringify(record.entry)) throw new Error(`another entry has the id ${record.id}`);
}

const hereAgain = ({ epoch, sequence, said_at, covered_at, reason, ...record }) => ({ ...record, state: "here" });

async function write({ entries, kept }, answer, { street, heardAt }) {
  const name = `heard ${street}`;
  const before = (await ask(kept.get(name))) ?? { name };
  const { epoch, said_at, answers = [] } = answer;
  const same = before.epoch === epoch;
  const covered_until = answer.covered_until ?? (same ? before.covered_until : null) ?? null;
  if (!same) await startAgain(entries, street, epoch);
  for (const one of answers) {
    const record = await ask(entries.index("id").get(one.id));
    if (!record || record.street !== street) continue;
    const state = one.answer === "refused" ? "refused" : "sent";
    const told = state === "sent" ? { sequence: one.sequence, said_at } : { reason: one.reason };
    await ask(entries.put({ ...hereAgain(record), state, epoch, ...told }));
  }
  if (covered_until !== null && !(same && covered_until === before.covered_until))
    await cover(entries, { street, epoch, covered_until, at: heardAt });
  const stamps = heardAt === undefined ? {} : { heard_at: heardAt, heard_said: said_at };
  await ask(kept.put({ ...before, epoch, covered_until, ...stamps }));
}

/** Nobody here knows which backup was brought back: all that is still kept is sent again, and the server takes each entry once. */
async function startAgain(entries, street, epoch) {
  for (const state of ["sent", "refused"])
    for (const record of await ask(entries.index("standing").getAll([street, state])))
      if (record.epoch !== epoch) await ask(entries.put(hereAgain(record)));
}

/** Note what a backup holds, and forget what one has held for long. */
async function cover(entries, { street, epoch, covered_until, at }) {
  for (const record of await ask(entries.index("standing").getAll([street, "sent"]))) {
    const told = typeof covered_until === "number" ? record.sequence : record.said_at; // times of one server: compared as text
    if (record.epoch !== epoch || !(told <= covered_until)) continue;
    if (record.covered_at === undefined) await ask(entries.put({ ...record, covered_at: at }));
    else if (at - record.covered_at > KEPT_AFTER_BACKUP) await ask(entries.delete(record.number));
  }
}
