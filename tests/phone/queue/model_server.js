// What the site's API does with posted entries, in few lines; a test of its own holds it against the real one.

const ID = /^[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/;
const UNSAID = { name: "", photo: null, corrects: null, place: null };
const KEYS = new Set(["entries", "sent_at", "heard_at", "heard_said"]);
const TIME = /^20\d\d-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d{1,6})?(Z|[+-]\d\d:\d\d)$/;
const MOST = 500;

/** The same for two entries that say the same: keys in order, and nothing that was not said. */
function bodyOf(entry) {
  const said = Object.fromEntries(Object.entries(entry).filter(([key, value]) => !(key in UNSAID && value === UNSAID[key])));
  return JSON.stringify(said, (_key, value) =>
    value && typeof value === "object" && !Array.isArray(value)
      ? Object.fromEntries(Object.entries(value).sort(([one], [other]) => (one < other ? -1 : 1)))
      : value,
  );
}

export class ModelServer {
  constructor({ street, now, newEpoch, tellsCover = false }) {
    Object.assign(this, { street, now, newEpoch, tellsCover, up: true, epoch: newEpoch(), backupAt: null });
    this.ledger = new Map(); // id -> {body, entry, sequence}, in order of arrival
    this.keptApart = new Map(); // id and body that were refused -> entry
  }

  /** Answer to a post or a reading: {status, plain}. */
  handle({ method, body, since, role }) {
    if (method === "GET") return { status: 200, plain: this.#reading(since) };
    const wrong = shapeOf(body);
    if (wrong) return { status: wrong, plain: problems("a body of another shape") };
    const answers = JSON.parse(body).entries.map((entry) => this.#take(entry, role)); // one transaction: all of it, then the answer
    return { status: 200, plain: { ...this.#told(), answers } };
  }

  #told() {
    const told = { epoch: this.epoch, said_at: new Date(this.now()).toISOString() };
    return this.tellsCover && this.backupAt ? { ...told, covered_until: this.backupAt } : told;
  }

  #reading(since) {
    const after = [...this.ledger.values()].filter(({ sequence }) => sequence > since);
    const entries = after.slice(0, MOST).map(({ sequence, entry }) => ({ sequence, entry }));
    return { ...this.#told(), entries, last: entries.at(-1)?.sequence ?? since, more: after.length > MOST };
  }

  #take(entry, role) {
    const id = typeof entry.id === "string" ? entry.id : "";
    const refused = (reason) => ({ id: id.slice(0, 100), answer: "refused", sequence: null, reason });
    if (!ID.test(id)) return refused([wrong("id")]);
    const judged = ["street", "role"].filter((key) => entry[key] !== { street: this.street, role }[key]).map(wrong);
    if (judged.length) return refused(judged);
    const body = bodyOf(entry);
    const there = this.ledger.get(id);
    if (there && there.body !== body) {
      this.keptApart.set(`${id} ${body}`, entry);
      return refused([wrong("entry.id")]);
    }
    if (!there) this.ledger.set(id, { body, entry, sequence: this.ledger.size + 1 });
    return { id, answer: there ? "already have it" : "stored", sequence: this.ledger.get(id).sequence, reason: [] };
  }

  backup() {
    const taken = { ledger: new Map(this.ledger), keptApart: new Map(this.keptApart) };
    this.backupAt = new Date(this.now()).toISOString();
    return taken;
  }

  restore(taken) {
    this.ledger = new Map(taken.ledger);
    this.keptApart = new Map(taken.keptApart);
    this.epoch = this.newEpoch();
    this.backupAt = null; // no backup of this life yet
  }
}

const wrong = (where) => ({ where, found: "", allowed: "", do: "" });
export const problems = (found) => ({ schema: "hardpan.problems/1", problems: [{ ...wrong("body"), found }] });

/** Status of a body that is no post, 0 of one that is. */
function shapeOf(body) {
  if (/\\u0000|\\ud[89a-f]/i.test(body)) return 400; // a letter that no database keeps, or half of one
  let read;
  try {
    read = JSON.parse(body);
  } catch {
    return 400;
  }
  const { entries } = read;
  const fits =
    Array.isArray(entries) &&
    entries.length >= 1 &&
    entries.length <= MOST &&
    entries.every((one) => one && typeof one === "object" && !Array.isArray(one)) &&
    Object.keys(read).every((key) => KEYS.has(key)) &&
    ["sent_at", "heard_at", "heard_said"].every((key) => (read[key] ?? null) === null || TIME.test(read[key])) &&
    ((read.heard_at ?? null) === null) === ((read.heard_said ?? null) === null);
  return fits ? 0 : 422;
}
