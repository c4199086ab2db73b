// The air between phones and server: posts get lost, answers get lost, both come late or twice, and other people's pages answer.

import { problems } from "./model_server.js";

export class Network {
  constructor(world, server, { street, role }) {
    Object.assign(this, { world, server, street, role, posts: 0, sending: new Set() });
  }

  /** `fetch` of a tab. */
  fetch(tab, url, init) {
    const { world } = this;
    this.#alone(tab);
    const asked = new Promise((resolve, reject) => {
      const fail = (delay) => world.at(delay, () => tab.reach(() => reject(new TypeError("no network"))));
      const hang = () => {}; // until its own patience is over
      const lose = () => (world.chance(0.5) ? fail(world.whole(1, 4_000)) : hang());
      init.signal.addEventListener("abort", () => tab.reach(() => reject(new DOMException("", "AbortError"))));
      if (tab.phone.offline || world.unlucky(0.08)) return lose();
      if (world.unlucky(0.02)) return this.#answer(tab, resolve, { status: 200, text: world.pick(["<html>pay for this network</html>", '{"pay": true}']) });
      if (world.unlucky(0.02)) return this.#answer(tab, resolve, { status: 502, text: "<html>bad gateway</html>" });
      if (world.unlucky(0.01)) return this.#answer(tab, resolve, ours(429, { "Retry-After": "7" }));
      if (world.unlucky(0.01)) return this.#answer(tab, resolve, ours(500));
      if (world.unlucky(0.06)) world.at(world.whole(1, 90_000), () => this.#arrive(url, init)); // a second copy, some time
      world.at(this.#delay(), () => {
        const answer = this.#arrive(url, init);
        if (!answer || world.unlucky(0.08)) return lose();
        if (world.unlucky(0.02)) return this.#answer(tab, resolve, ours(500)); // stored all the same
        const text = world.unlucky(0.02) ? answer.text.slice(0, -9) : answer.text; // cut short
        this.#answer(tab, resolve, { ...answer, text });
      });
    });
    return asked.finally(() => this.forget(tab));
  }

  /** Where a browser has locks, one tab of a phone asks at a time, unless a turn was taken from one that slept. */
  #alone(tab) {
    const { locks } = tab.phone;
    const others = [...this.sending].filter((other) => other !== tab && other.phone === tab.phone);
    if (others.length && locks && !locks.stolen) this.world.faults.push("two tabs of a phone send at once");
    this.sending.add(tab);
  }

  forget(tab) {
    this.sending.delete(tab);
  }

  #delay() {
    return this.world.unlucky(0.1) ? this.world.whole(5_000, 60_000) : this.world.whole(1, 900);
  }

  /** What the server does with a request; null where it is down. */
  #arrive(url, { method, body }) {
    if (!this.server.up) return null;
    const [path, query] = url.split("?");
    if (path !== `/api/streets/${this.street}/entries`) this.world.faults.push(`asked for ${url}`);
    this.posts += 1;
    const { status, plain } = this.server.handle({ method, body, since: Number(query?.split("=")[1]), role: this.role });
    this.world.note("server", method, status, (plain.answers ?? []).map(({ id, answer }) => `${id.slice(-4)} ${answer}`).join(", "));
    return { status, text: JSON.stringify(plain) };
  }

  #answer(tab, resolve, { status, text, headers = {} }) {
    const answer = { status, text: async () => text, headers: { get: (name) => headers[name] ?? null } };
    this.world.at(this.#delay(), () => tab.reach(() => resolve(answer)));
  }
}

const ours = (status, headers) => ({ status, headers, text: JSON.stringify(problems("not now")) });
