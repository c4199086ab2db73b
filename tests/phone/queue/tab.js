// One tab of a phone, running the real scripts. It may be killed wherever it waits: nothing reaches a killed tab, what it had begun
// on the disk and not finished is undone, its locks are free.

const EVENTS = /^on(success|error|complete|abort|close|versionchange|upgradeneeded)$/;

export class Tab {
  constructor(world, phone, { scripts, network, fate }) {
    Object.assign(this, { world, phone, scripts, network, fate, dead: false, missed: null, transactions: new Set(), wrapped: new WeakMap() });
  }

  /** Start the queue as a page does. */
  async start({ street, steps }) {
    const { world, phone } = this;
    this.started = this.scripts.startQueue({
      street,
      steps,
      fetch: (url, init) => (this.dead ? new Promise(() => {}) : this.network.fetch(this, url, init)),
      indexedDB: this.guarded(phone.indexedDB),
      locks: phone.locks?.of(this),
      now: () => phone.clock(),
      random: world.bytes,
      chance: () => world.random(),
      timers: { set: (run, delay) => world.at(delay, () => this.reach(run)), clear: (timer) => world.cancel(timer) },
    });
    const { queue, sender } = await this.started;
    Object.assign(this, { queue, sender });
    if (!this.dead) sender.wake();
  }

  kill() {
    if (this.dead) return;
    this.dead = true;
    this.world.note("kill", this.phone.name);
    this.network.forget(this);
    for (const transaction of this.transactions) abort(transaction);
    for (const connection of this.connections ?? []) connection.close();
    this.phone.locks?.release(this);
    this.phone.tabs.delete(this);
  }

  /** Let something reach the tab, unless it is dead, or is killed just before or just after. */
  deliver(happen) {
    if (this.dead) return;
    const killed = this.world.unlucky(this.fate);
    if (killed && this.world.chance(0.5)) return this.kill();
    happen();
    if (killed) this.kill();
  }

  /** Let a timer or an answer reach the tab, unless it sleeps: then when it wakes. */
  reach(happen) {
    if (this.missed) this.missed.push(happen);
    else this.deliver(happen);
  }

  /** The phone's system lets the tab sleep, with all that it holds. */
  sleep() {
    this.missed ??= [];
  }

  wakeUp() {
    const missed = this.missed ?? [];
    this.missed = null;
    for (const happen of missed) this.deliver(happen);
  }

  /** An object of the database whose events reach this tab only while it lives. */
  guarded(real) {
    if (real === null || typeof real !== "object" || !/^(FDB|IDB)/.test(real.constructor.name)) return real;
    if (this.wrapped.has(real)) return this.wrapped.get(real);
    const proxy = new Proxy(real, {
      get: (_target, key) => this.#read(real, key),
      set: (_target, key, value) => {
        real[key] = EVENTS.test(key) ? (event) => this.#hear(real, () => value(event)) : value;
        return true;
      },
    });
    this.wrapped.set(real, proxy);
    return proxy;
  }

  #hear(real, happen) {
    const upgrade = real.transaction?.mode === "versionchange" ? this.#known(real.transaction) : null;
    const opened = real.constructor.name === "FDBOpenDBRequest" && real.readyState === "done" ? this.#known(real.result) : null;
    if (this.dead && upgrade) abort(upgrade); // killed before it began
    if (this.dead) opened?.close();
    this.deliver(happen);
  }

  #read(real, key) {
    const value = real[key];
    if (typeof value !== "function") return this.guarded(this.#known(value));
    return (...args) => {
      if (this.dead) throw new Error("a dead tab does nothing");
      if (key === "transaction" && args[1] === "readwrite" && args[2]?.durability !== "strict")
        this.world.faults.push("a transaction that a power cut undoes");
      const full = (key === "put" || key === "add") && this.world.unlucky(0.004);
      if (full) this.#fillDisk(real.transaction);
      return this.guarded(this.#known(value.apply(real, args)));
    };
  }

  /** Keep account of transactions and connections, for the world to wait for and for the end to undo. */
  #known(value) {
    const name = value?.constructor?.name;
    if (name === "FDBTransaction" && !this.transactions.has(value) && value._state !== "finished") {
      this.transactions.add(value);
      this.world.openTransactions += 1;
      const over = () => this.transactions.delete(value) && (this.world.openTransactions -= 1);
      value.addEventListener("complete", over);
      value.addEventListener("abort", over);
    }
    if (name === "FDBDatabase") (this.connections ??= new Set()).add(value);
    return value;
  }

  /** The disk is full: what the transaction wrote is undone, and its error says so. */
  #fillDisk(transaction) {
    setImmediate(() => {
      if (transaction._state === "finished") return;
      abort(transaction);
      transaction.error = new DOMException("no room", "QuotaExceededError");
    });
  }
}

function abort(transaction) {
  try {
    transaction.abort();
  } catch (error) {
    if (error.name !== "InvalidStateError") throw error; // it was over
  }
}
