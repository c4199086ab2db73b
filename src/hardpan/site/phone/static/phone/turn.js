// One tab of a phone sends at a time. Sending twice would store once all the same, so that a turn may be taken from a tab that sleeps.

import { ask } from "./database.js";

const PATIENCE = 180_000; // longer than any post: who has held the turn for so long has gone to sleep with it
const LEASE = 60_000; // where the browser has no locks: a turn is a promise to be done, or to ask again, by then
export const BUSY = { wait: 5_000, why: "another tab sends" };

/** Gives `takeTurn(work)`: what `work(renew)` gives, or BUSY. */
export function turns({ street, locks, database, now, holder }) {
  return locks?.request ? byLock(locks, `hardpan ${street}`, now) : byLease(database, `turn ${street}`, { now, holder });
}

function byLock(locks, name, now) {
  let waitingSince = null;
  return async (work) => {
    const steal = waitingSince !== null && now() - waitingSince > PATIENCE;
    return locks
      .request(name, steal ? { steal } : { ifAvailable: true }, (lock) => {
        waitingSince = lock ? null : (waitingSince ?? now());
        return lock ? work(() => true) : BUSY;
      })
      .catch((error) => {
        if (error?.name !== "AbortError") throw error;
        return BUSY; // it was taken from this one
      });
  };
}

function byLease(database, name, { now, holder }) {
  /** Whether the lease is ours up to `until`; one that ends later than any can was written by a clock that went wrong. */
  const hold = (until) =>
    database.change(async ({ kept }) => {
      const there = await ask(kept.get(name));
      const left = there && there.holder !== holder ? there.until - now() : 0;
      if (left > 0 && left <= LEASE) return false;
      await ask(kept.put({ name, holder, until }));
      return true;
    });
  const renew = () => hold(now() + LEASE);
  return async (work) => {
    if (!(await renew())) return BUSY;
    const outcome = await work(renew);
    await hold(0);
    return outcome;
  };
}
