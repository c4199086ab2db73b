// Entries as a phone reads them: those that count, each with its ground and its block. As compare/taps_events.py, which defines it.

import { instant, standing } from "./mending.js";

export const SLIVER_M = 0.05;

/** Entries that count, in order of happening. */
export function told(day, entries) {
  const found = standing(entries).map(([entry, mending]) => toldOf(day, entry, mending));
  return found.sort((one, other) => one.at - other.at || one.entered - other.entered || (one.id < other.id ? -1 : 1));
}

function toldOf(day, entry, mending) {
  const said = mending?.payload;
  const happened = said?.happened_at || entry.happened_at;
  const payload = said ? said.payload : entry.payload;
  const place = mending?.place ?? entry.place ?? null;
  const { start_m, end_m, strips } = ground(day, place, payload.cuts ?? []);
  return {
    id: entry.id, kind: entry.kind, happened, at: instant(happened), clock: happened.slice(11, 16), date: happened.slice(0, 10),
    entered: instant(entry.entered_at), device: entry.device, start_m, end_m, strips, block: blockOf(day, place, start_m, end_m),
    place, payload, under_way: Boolean(payload.under_way), began: instant(payload.started_at || happened),
  };
}

/** Ground that a place means: both ends and strips; no ends where it names none that the street has. */
export function ground(day, place, cuts = []) {
  if (!place) return { start_m: null, end_m: null, strips: [] };
  const every = day.strips.map(({ strip }) => strip);
  let asked = cuts.filter((cut) => cut <= day.cuts.length).flatMap((cut) => day.cuts[cut - 1]);
  if (!asked.length) asked = place.strips ?? [];
  const strips = asked.length ? every.filter((strip) => asked.includes(strip)) : every;
  let start = place.start_m ?? null;
  if (start === null && place.landmark) start = landmark(day, place.landmark);
  if (start !== null) {
    const end = place.end_m ?? start;
    const off = start > day.last_m || end < day.first_m;
    return off ? { start_m: null, end_m: null, strips } : { start_m: start, end_m: end, strips };
  }
  const block = namedBlock(day, place.block ?? "");
  return { start_m: block ? block.start_m : null, end_m: block ? block.end_m : null, strips };
}

function landmark(day, name) {
  const plain = name.trim().toLowerCase();
  return day.landmarks.find((one) => one.name.toLowerCase() === plain)?.station_m ?? null;
}

/** Block of a name: its own, else the one of its number. */
export function namedBlock(day, name) {
  const own = day.blocks.find((block) => block.name === name);
  if (own) return own;
  const number = /^[^0-9]*([0-9]+)$/.exec(name);
  return (number && day.blocks.find(({ block }) => block === Number(number[1]))) || null;
}

function blockOf(day, place, start, end) {
  const named = namedBlock(day, place?.block ?? "");
  if (named) return named.block;
  if (start === null) return 0;
  const middle = (start + end) / 2;
  return day.blocks.find((one) => one.start_m <= middle && middle < one.end_m)?.block ?? 0;
}

/** Parts of a stretch that nothing covers. */
export function gaps(spans, start, end) {
  const found = [];
  let at = start;
  for (const [low, high] of [...spans].sort((one, other) => one[0] - other[0] || one[1] - other[1])) {
    if (high <= start || low >= end) continue;
    if (low - at > SLIVER_M) found.push([at, low]);
    at = Math.max(at, high);
  }
  if (end - at > SLIVER_M) found.push([at, end]);
  return found;
}
