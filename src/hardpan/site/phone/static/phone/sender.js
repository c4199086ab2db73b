// Sending: entries go in order, some at a time; nothing is called sent before the server answered for it.
//
// Why entries are still here: "no signal" (nobody answered), "not let in" (the phone has to join again), "busy" (the server asks to
// wait), "another tab sends"; "" when nothing keeps them.

import { deviceTime } from "./entry.js";

const MOST = 50; // entries in a post
const TIMEOUT = 30_000;
const FIRST_WAIT = 2_000;
const LONGEST_WAIT = 300_000;
const SOON = 15_000;
const EVERY = 300_000; // with nothing to send, the server is asked whether it is still in the same life
const PROBLEMS = "hardpan.problems/1";

/** The server took no post as a whole; `problems` says why. */
export class NotTaken extends Error {
  constructor(problems) {
    super("not taken");
    this.problems = problems;
  }
}

/** Nothing can be said of the entries: they stay, and are sent later. */
class Later extends Error {
  constructor(why, wait = null) {
    super(why);
    Object.assign(this, { why, wait });
  }
}

/** Send all that is here; gives {wait, why}: `wait` is null when all is sent, undefined when the back-off shall say. */
export async function sendAll(queue) {
  let most = MOST;
  let asked = false;
  try {
    for (;;) {
      if (!(await queue.renew())) return { wait: undefined, why: "another tab sends" };
      const batch = await queue.next(most);
      if (!batch.length && asked) return { wait: null, why: "" };
      try {
        if (batch.length) await post(queue, batch);
        else await hear(queue);
        most = Math.min(MOST, most * 2);
        asked = true;
      } catch (error) {
        if (!(error instanceof NotTaken) || !batch.length) throw error;
        if (batch.length === 1) await queue.refuse(batch[0], error.problems);
        most = Math.max(1, Math.floor(batch.length / 2)); // one entry that cannot be read holds up no other
      }
    }
  } catch (error) {
    if (error instanceof Later) return { wait: error.wait ?? undefined, why: error.why };
    if (error instanceof NotTaken) return { wait: undefined, why: "busy" };
    throw error;
  }
}

async function post(queue, batch) {
  const entries = batch.map(({ entry }) => entry);
  const answer = await postEntries(queue, { entries, ...(await clocks(queue)) });
  await queue.settle(answer, queue.now());
}

/** Ask for no entries: the answer carries the epoch. */
async function hear(queue) {
  const answer = await request(queue, `${address(queue.street)}?since=${Number.MAX_SAFE_INTEGER}`, { method: "GET" });
  if (typeof answer?.epoch !== "string" || typeof answer.said_at !== "string") throw new Later("no signal");
  await queue.settle({ epoch: answer.epoch, said_at: answer.said_at, covered_until: answer.covered_until }, queue.now());
}

/** What the device's clock says now, and said when it last heard the server; a clock that never was set says nothing. */
async function clocks(queue) {
  const { heard_at, heard_said } = await queue.heard();
  const [sent, heard] = [queue.now(), heard_at].map((time) => (time === undefined ? "" : deviceTime(time, true)));
  const usable = (time) => /^20\d\d-/.test(time);
  return {
    ...(usable(sent) && { sent_at: sent }),
    ...(usable(heard) && { heard_at: heard, heard_said }),
  };
}

const address = (street) => `/api/streets/${street}/entries`;

/** Post entries and give the answer, one for each entry in their order. */
export async function postEntries({ street, ...means }, body) {
  const init = { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body) };
  const answer = await request(means, address(street), init);
  const answers = Array.isArray(answer?.answers) ? answer.answers : [];
  const known = new Set(["stored", "already have it", "refused"]);
  const fits = body.entries.every(({ id }, place) => answers[place]?.id === id && known.has(answers[place].answer));
  if (!fits || typeof answer.epoch !== "string" || typeof answer.said_at !== "string") throw new Later("no signal"); // not our server
  return answer;
}

async function request({ fetch, timers }, url, init) {
  const stop = new AbortController();
  const { status, plain, retryAfter } = await new Promise((resolve, reject) => {
    const timer = timers.set(() => {
      stop.abort();
      reject(new Later("no signal"));
    }, TIMEOUT);
    fetch(url, { ...init, credentials: "same-origin", redirect: "error", cache: "no-store", signal: stop.signal })
      .then(read)
      .catch(() => Promise.reject(new Later("no signal")))
      .then(resolve, reject)
      .finally(() => timers.clear(timer));
  });
  if (status === 200) return plain;
  const ours = plain?.schema === PROBLEMS;
  if (status === 413 || (ours && (status === 400 || status === 422))) throw new NotTaken(ours ? plain.problems : []);
  if (ours && (status === 401 || status === 403 || status === 404)) throw new Later("not let in", LONGEST_WAIT);
  throw new Later(ours ? "busy" : "no signal", retryAfter ? Math.min(retryAfter * 1000, LONGEST_WAIT) : null);
}

/** Status and JSON of an answer; a page of some other network's is none. */
async function read(response) {
  const text = await response.text();
  let plain = null;
  try {
    plain = JSON.parse(text);
  } catch {
    if (response.status === 200) throw new Error("not JSON");
  }
  return { status: response.status, plain, retryAfter: Number(response.headers.get("Retry-After")) || 0 };
}

/**
 * Send again and again: `nudge` after an entry, `wake` when the phone is looked at or has signal again, `stop` in the end.
 * After a failure the wait doubles up to five minutes, and a quarter more by chance, so that the phones of a crew come one by one.
 */
export function startSender({ send, timers, now = Date.now, chance = Math.random }) {
  let timer = null;
  let due = 0;
  let running = null;
  let more = false;
  let failures = 0;
  let patient = false; // the server said how long to wait
  let stopped = false;

  function plan(wait) {
    timers.clear(timer);
    due = now() + wait;
    timer = stopped ? null : timers.set(run, wait);
  }

  function run() {
    more = running !== null;
    running ??= attempt().finally(() => (running = null));
    return running;
  }

  async function attempt() {
    timers.clear(timer);
    let wait;
    do {
      more = false;
      wait = (await send().catch(() => ({}))).wait;
    } while (wait === null && more); // an entry that came while the last was sent
    failures = wait === null ? 0 : failures + 1;
    patient = Boolean(wait);
    const backOff = Math.min(LONGEST_WAIT, FIRST_WAIT * 2 ** Math.min(failures - 1, 10));
    plan(wait === null ? EVERY : (wait ?? backOff) * (1 + chance() / 4));
  }

  function nudge() {
    if (!failures) return run();
    if (!patient && due - now() > SOON) plan(SOON); // a tap says that somebody is there: signal may be too
    return running;
  }

  function wake() {
    failures = 0;
    return run();
  }

  function stop() {
    stopped = true;
    timers.clear(timer);
  }

  return { nudge, wake, stop };
}
