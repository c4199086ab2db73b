// One schedule: a crew taps while everything goes wrong; then things calm down, and the server must have every entry once.

import { ModelServer } from "./model_server.js";
import { Network } from "./network.js";
import { Phone } from "./phone.js";
import { Tab } from "./tab.js";
import { World } from "./world.js";

const STREET = "kestrel-road";
const MINUTE = 60_000;
const DAY = 1440 * MINUTE;

/** Play a schedule; gives what was found, with `faults` empty where all is well. */
export async function play(seed, scripts) {
  const world = new World(seed);
  const crew = new Crew(world, scripts);
  for (let count = world.whole(30, 90); count > 0; count--) {
    crew.step();
    const pause = world.chance(0.03) ? world.whole(1, 12) * 5 * MINUTE : world.whole(1, 30_000);
    await world.run(world.now + pause);
    if (world.chance(0.015)) await crew.rest(35 * DAY);
  }
  await crew.calmDown();
  return crew.judge();
}

class Crew {
  constructor(world, scripts) {
    Object.assign(this, { world, scripts, taps: 0, restores: 0, backups: [] });
    const newEpoch = () => `epoch-${world.whole(0, 2 ** 31)}`;
    this.server = new ModelServer({ street: STREET, now: () => world.now, newEpoch, tellsCover: world.chance(0.5) });
    this.backups.push(this.server.backup());
    this.network = new Network(world, this.server, { street: STREET, role: "operator" });
    this.fate = world.pick([0, 0.0005, 0.002, 0.01]);
    const skew = () => world.pick([0, world.whole(-900, 900) * 1000, -800 * DAY, -20_000 * DAY]);
    this.phones = Array.from(
      { length: world.whole(1, 3) },
      (_, number) => new Phone(world, `phone-${number}`, { skew: skew(), hasLocks: world.chance(0.7) }),
    );
    for (const phone of this.phones) this.open(phone);
  }

  /** One thing happens. */
  step() {
    const { world } = this;
    const phone = world.pick(this.phones);
    const things = [
      [50, () => this.tap(phone)],
      [3, () => this.open(phone)],
      [5, () => world.pick([...phone.tabs])?.kill()],
      [3, () => world.pick([...phone.tabs])?.sleep()],
      [3, () => phone.tabs.forEach((tab) => tab.wakeUp())],
      [3, () => (phone.offline = true)],
      [4, () => (phone.offline = false)],
      [4, () => world.pick([...phone.tabs])?.sender?.wake()],
      [2, () => (this.server.up = !this.server.up)],
      [3, () => this.backups.push(this.server.backup())],
      [2, () => this.restore()],
      [1, () => (phone.skew += world.whole(-3600, 3600) * 1000)],
      [2, () => world.pick([...phone.tabs])?.queue?.epochSeen(this.server.epoch).catch(() => {})],
      [2, () => world.pick([...phone.tabs])?.queue?.exportFile().catch(() => {})],
    ];
    let drawn = world.random() * things.reduce((sum, [weight]) => sum + weight, 0);
    things.find(([weight]) => (drawn -= weight) < 0)[1]();
  }

  open(phone) {
    const { world, scripts, network, fate } = this;
    const tab = new Tab(world, phone, { scripts, network, fate });
    phone.tabs.add(tab);
    const later = world.chance(0.1); // a page of a later issue, whose database has one store more
    const steps = later ? [...scripts.STEPS, (database) => database.createObjectStore("later")] : scripts.STEPS;
    tab.start({ street: STREET, steps }).catch((error) => tab.dead || this.#mayFail(error));
    return tab;
  }

  /** Nobody looks at a phone for long. */
  async rest(time) {
    for (const phone of this.phones) for (const tab of [...phone.tabs]) tab.kill();
    await this.world.run(this.world.now + time);
    for (const phone of this.phones) this.open(phone);
  }

  /** Somebody taps, once or in a hurry. */
  tap(phone) {
    const { world } = this;
    const tab = world.pick([...phone.tabs]);
    tab?.wakeUp(); // a finger is on it
    if (!tab?.queue) return;
    for (let count = world.chance(0.05) ? world.whole(40, 130) : world.whole(1, 2); count > 0; count--) {
      const payload = { note: world.chance(0.01) ? `\u0000 ${this.taps++}` : `tap ${this.taps++}` }; // a letter that no server takes
      const told = { street: STREET, kind: "note", role: "operator", device: tab.queue.device, payload };
      const entry = this.scripts.newEntry(told, { now: () => phone.clock(), random: world.bytes });
      this.#add(tab, entry);
      if (world.chance(0.05)) this.#add(tab, entry); // a finger that bounces
    }
  }

  #add(tab, entry) {
    tab.queue.add(entry).then(
      () => tab.dead || tab.phone.said.set(entry.id, entry),
      (error) => tab.dead || this.#mayFail(error),
    );
    if (!tab.phone.order.includes(entry.id)) tab.phone.order.push(entry.id);
  }

  /** Only a full disk may keep an entry out, and it says so. */
  #mayFail(error) {
    if (error?.code !== "full") this.world.faults.push(`${error?.name}: ${error?.message}`);
  }

  /** The server's store is lost, and an earlier one brought back; where it tells what backups cover, the last. */
  restore() {
    const taken = this.server.tellsCover ? this.backups.at(-1) : this.world.pick(this.backups);
    this.world.note("restore", taken.ledger.size, "of", this.server.ledger.size);
    this.server.restore(taken);
    this.restores += 1;
  }

  async calmDown() {
    const { world, server, phones } = this;
    world.calm = true;
    server.up = true;
    for (const phone of phones) {
      phone.offline = false;
      for (const tab of [...phone.tabs]) if (world.chance(0.5)) tab.kill();
      const awake = [...phone.tabs].some((tab) => tab.queue && !tab.missed);
      if (!awake || world.chance(0.3)) this.open(phone);
    }
    await world.run(world.now + 25 * MINUTE);
    for (const phone of phones) {
      const tab = this.open(phone);
      await tab.started.catch(() => world.faults.push("a page that cannot start"));
      await world.settle();
      phone.standing = (await tab.queue?.entries()) ?? [];
      for (const one of phone.tabs) one.kill();
    }
    await world.settle();
  }

  /** What every phone called here is on the server once, in the order of entry, and every phone knows it. */
  judge() {
    const { world, server, phones } = this;
    const stored = [...server.ledger.keys()];
    const notes = [...server.ledger.values()].map(({ entry }) => entry.payload.note);
    const found = { lost: 0, doubled: notes.length - new Set(notes).size, stuck: 0, disordered: 0, changed: 0, faults: world.faults };
    for (const phone of phones) {
      const states = new Map(phone.standing.map(({ entry, state }) => [entry.id, state]));
      for (const [id, entry] of phone.said) {
        const refusable = entry.payload.note.startsWith("\u0000");
        if (!refusable && !server.ledger.has(id)) found.lost += 1;
        if (refusable && states.get(id) !== "refused") found.stuck += 1;
        if (server.ledger.has(id) && JSON.stringify(server.ledger.get(id).entry) !== JSON.stringify(entry)) found.changed += 1;
      }
      for (const [id, state] of states) if (state === "here" || (state === "sent") !== server.ledger.has(id)) found.stuck += 1;
      if (!this.restores) found.disordered += outOfOrder(phone.order, stored);
    }
    const { taps, restores, network, fate } = this;
    const here = phones.reduce((sum, { said }) => sum + said.size, 0);
    return { ...found, taps, here, restores, posts: network.posts, fate, entries: stored.length, trace: world.trace };
  }
}

/** How many entries of a phone came to the server before one that was entered earlier. */
function outOfOrder(order, stored) {
  const places = order.map((id) => stored.indexOf(id)).filter((place) => place >= 0);
  return places.filter((place, at) => at && place < places[at - 1]).length;
}
