// What stands: one body an id, each with the mending that counts. The rules are those of ledger/standing.py.

/** Seconds since 1970 of a time with its offset. */
export const instant = (text) => Date.parse(text) / 1000;

const MENDINGS = new Set(["correction", "withdrawal"]);

/** Entries that count, as [entry, the correction that counts or null]; the first body under an id is the one. */
export function standing(entries) {
  const kept = new Map();
  for (const entry of entries) if (!kept.has(entry.id)) kept.set(entry.id, entry);
  const depth = depths(kept);
  const hanging = [...kept.values()].filter(({ id, kind }) => MENDINGS.has(kind) && depth.get(id) > 0);
  hanging.sort((one, other) => depth.get(one.id) - depth.get(other.id));
  const root = new Map();
  for (const one of hanging) root.set(one.id, rootOf(one, kept, root));
  const withdrawn = new Set();
  for (const one of [...hanging].reverse()) {
    const target = kept.get(one.corrects); // the deepest first: a withdrawal counts unless it is withdrawn itself
    if (one.kind === "withdrawal" && MENDINGS.has(target.kind) && !withdrawn.has(one.id)) withdrawn.add(target.id);
  }
  const winner = new Map();
  for (const one of hanging) {
    const name = root.get(one.id);
    if (!name || withdrawn.has(one.id)) continue;
    const best = winner.get(name);
    if (!best || later(one, best)) winner.set(name, one);
  }
  const counting = [];
  for (const entry of kept.values()) {
    if (MENDINGS.has(entry.kind)) continue;
    const mended = winner.get(entry.id) ?? null;
    if (mended?.kind !== "withdrawal") counting.push([entry, mended]);
  }
  return counting;
}

const later = (one, other) => {
  const apart = instant(one.entered_at) - instant(other.entered_at);
  return apart > 0 || (apart === 0 && one.id > other.id);
};

/** Steps from every entry to the one it mends in the end; -1 where that is not here, or where they run in a ring. */
function depths(kept) {
  const depth = new Map();
  for (const { id, kind } of kept.values()) if (!MENDINGS.has(kind)) depth.set(id, 0);
  for (const id of kept.keys()) {
    const path = [];
    let here = id;
    while (kept.has(here) && !depth.has(here) && !path.includes(here)) {
      path.push(here);
      here = kept.get(here).corrects ?? "";
    }
    let steps = depth.get(here) ?? -1;
    for (const one of path.reverse()) {
      steps = steps < 0 ? -1 : steps + 1;
      depth.set(one, steps);
    }
  }
  return depth;
}

/** Id of the entry whose content a mending changes; empty where it changes none, as a withdrawal of a mending. */
function rootOf(one, kept, root) {
  const target = kept.get(one.corrects);
  let found = target.id;
  if (MENDINGS.has(target.kind)) found = target.kind === "correction" && one.kind === "correction" ? root.get(target.id) : "";
  if (found && one.kind === "correction" && one.payload.kind !== kept.get(found).kind) return "";
  return found;
}
