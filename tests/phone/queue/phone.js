// A phone: its disk, its clock, its tabs, and the locks that they share.

import { IDBFactory } from "fake-indexeddb";

export class Phone {
  constructor(world, name, { skew, hasLocks }) {
    Object.assign(this, { world, name, skew, offline: false, tabs: new Set(), said: new Map(), order: [] });
    this.indexedDB = new IDBFactory();
    this.locks = hasLocks ? new Locks(world) : null;
  }

  clock() {
    return this.world.now + this.skew;
  }
}

/** Locks of one browser, as the Web Locks API has them, for the two ways in which they are asked for here. */
export class Locks {
  constructor(world) {
    Object.assign(this, { world, stolen: 0 });
    this.held = new Map(); // name -> {tab, taken}
  }

  of(tab) {
    return { request: (name, options, work) => this.request(tab, name, options, work) };
  }

  request(tab, name, { ifAvailable, steal }, work) {
    if (!ifAvailable && !steal) throw new Error("would wait");
    return new Promise((resolve, reject) => {
      this.world.at(0, () => tab.reach(() => this.#grant(tab, name, { steal, work, resolve, reject })));
    });
  }

  #grant(tab, name, { steal, work, resolve, reject }) {
    const holder = this.held.get(name);
    if (holder && !steal) return Promise.resolve(work(null)).then(resolve, reject);
    this.stolen += holder ? 1 : 0;
    if (holder) holder.tab.reach(() => holder.reject(new DOMException("stolen", "AbortError")));
    const mine = { tab, reject };
    this.held.set(name, mine);
    const free = () => this.held.get(name) === mine && this.held.delete(name);
    return Promise.resolve(work({ name })).finally(free).then(resolve, reject);
  }

  release(tab) {
    for (const [name, holder] of this.held) if (holder.tab === tab) this.held.delete(name);
  }
}
