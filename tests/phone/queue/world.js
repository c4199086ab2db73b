// A world of its own: one clock, one heap of what happens when, one seed by which everything can be played again.

const AT_ONCE = 30; // milliseconds

export class World {
  constructor(seed) {
    this.now = Date.UTC(2026, 5, 9, 12);
    this.calm = false;
    this.openTransactions = 0;
    this.faults = []; // what must never be seen
    this.trace = 2166136261; // of everything that happened, to tell whether a replay is one
    this.happenings = 0;
    this.#state = seed >>> 0;
    this.#heap = [];
  }

  #state;
  #heap;

  /** Random number from 0 to 1 (mulberry32). */
  random() {
    this.#state = (this.#state + 0x6d2b79f5) >>> 0;
    let t = this.#state;
    t = Math.imul(t ^ (t >>> 15), t | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  }

  chance = (probability) => this.random() < probability;
  whole = (least, most) => least + Math.floor(this.random() * (most - least + 1));
  pick = (list) => list[this.whole(0, list.length - 1)];
  bytes = (array) => array.map(() => this.whole(0, 255));

  /** Something goes wrong with this probability, until things calm down. */
  unlucky(probability) {
    return !this.calm && this.chance(probability);
  }

  note(...words) {
    for (const letter of `${this.now} ${words.join(" ")}\n`)
      this.trace = Math.imul(this.trace ^ letter.charCodeAt(0), 16777619) >>> 0;
    if (process.env.TELL) console.log(((this.now - Date.UTC(2026, 5, 9, 12)) / 1000).toFixed(3), ...words);
  }

  /** Let something happen later; gives a handle for `cancel`. */
  at(delay, happen) {
    const one = { time: this.now + Math.max(0, delay), order: this.happenings++, happen };
    this.#heap.push(one);
    let place = this.#heap.length - 1;
    for (let up; place > 0 && before(one, this.#heap[(up = (place - 1) >> 1)]); place = up) this.#heap[place] = this.#heap[up];
    this.#heap[place] = one;
    return one;
  }

  cancel(one) {
    if (one) one.happen = null;
  }

  #pop() {
    const [first] = this.#heap;
    const last = this.#heap.pop();
    if (this.#heap.length) {
      let place = 0;
      for (;;) {
        let down = 2 * place + 1;
        if (down >= this.#heap.length) break;
        if (down + 1 < this.#heap.length && before(this.#heap[down + 1], this.#heap[down])) down += 1;
        if (!before(this.#heap[down], last)) break;
        this.#heap[place] = this.#heap[down];
        place = down;
      }
      this.#heap[place] = last;
    }
    return first;
  }

  /** Let everything happen up to a time. The databases work between; where the next thing comes at once, they are not waited for. */
  async run(until) {
    await this.settle();
    for (let next = this.#heap[0]; next?.time <= until; next = this.#heap[0]) {
      const { time, happen } = this.#pop();
      this.now = Math.max(this.now, time);
      happen?.();
      if (this.#heap[0]?.time < this.now + AT_ONCE) await turns(this.whole(0, 6));
      else await this.settle();
    }
    this.now = until;
  }

  /** Wait until every database has come to rest. */
  async settle() {
    let quiet = 0;
    for (let count = 0; quiet < 3; count++) {
      await turns(1);
      quiet = this.openTransactions ? 0 : quiet + 1;
      if (count > 20_000) throw new Error("a transaction that never ends");
    }
  }
}

const before = (one, other) => one.time < other.time || (one.time === other.time && one.order < other.order);

async function turns(count) {
  for (let turn = 0; turn < count; turn++) await new Promise((resolve) => setImmediate(resolve));
}
