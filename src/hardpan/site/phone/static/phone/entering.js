// Entering: what a pad adds to an offer, the question that a strange number raises, the entries of a tap. As compare/taps_entering.py.

import { told } from "./events.js";
import { instant } from "./mending.js";

const REPLACES_S = 5;
const FAR_OFF = 5;
const NEAR = 2;
const SHIFTS = [0.1, 10, 0.01, 100, 0.001, 1000];
const PLACE = ["block", "strips", "start_m", "end_m"];

/** Question about a number: {times, meant}; null where there is nothing to ask. */
export function doubt(value, likely) {
  if (likely === null || !(likely > 0) || !(value > 0)) return null;
  const times = value / likely;
  if (1 / FAR_OFF < times && times < FAR_OFF) return null;
  for (const shift of SHIFTS)
    if (1 / NEAR <= times * shift && times * shift <= NEAR) return { times, meant: Math.floor(value * shift * 1000 + 0.5) / 1000 };
  return { times, meant: null };
}

/** Entries of an offer with what its pad was answered: {numbers}, {choice}, {station_m}, {not_checked}, {text}. */
export function filled(offer, answers = {}) {
  const { pad } = offer;
  const entries = structuredClone(offer.entries);
  if (!pad) return entries;
  if ((answers.station_m ?? null) !== null)
    for (const entry of entries) entry.place = { ...(entry.place ?? {}), start_m: answers.station_m };
  if (pad.kind === "choice") {
    const choice = pad.choices[answers.choice];
    for (const entry of entries) {
      entry.payload = { ...entry.payload, ...choice.set };
      if (choice.kind) entry.kind = choice.kind;
    }
  }
  if (pad.kind === "number")
    for (const entry of entries) {
      if (answers.not_checked) {
        entry.payload = { ...pad.not_checked };
        continue;
      }
      pad.fields.forEach(({ path }, at) => put(entry.payload, path, answers.numbers[at]));
      if (pad.text && answers.text) entry.payload[pad.text] = answers.text;
    }
  return entries;
}

function put(payload, path, value) {
  let inside = payload;
  for (const step of path.slice(0, -1)) inside = inside[step];
  inside[path.at(-1)] = value;
}

/** Entries that a tap makes; a second tap of one kind at one place within 5 s corrects the first. */
export function entered(day, entries, ready, { now, role, device, newId, photo = null }) {
  const at = instant(now);
  const before = told(day, entries).filter((one) => one.device === device && at - one.entered >= 0 && at - one.entered <= REPLACES_S);
  return ready.map(({ kind, place, payload, corrects }, order) => {
    const entry = { id: newId(), street: day.street, kind, happened_at: now, entered_at: now, role, device, payload };
    if (place !== null) entry.place = place;
    const first = corrects ? null : replaced(before, kind, place);
    if (corrects) entry.corrects = corrects;
    else if (first) Object.assign(entry, { kind: "correction", payload: { kind, payload, happened_at: now }, corrects: first.id });
    if (photo && order === 0) entry.photo = photo;
    return entry;
  });
}

function replaced(before, kind, place) {
  const same = before.filter((event) => event.kind === kind && samePlace(event.place, place));
  if (!same.length) return null;
  return same.reduce((best, one) => (one.entered > best.entered || (one.entered === best.entered && one.id > best.id) ? one : best));
}

function samePlace(there, here) {
  if (!there || !here) return !there && !here;
  const said = (value) => JSON.stringify((Array.isArray(value) ? value.length && value : value) || null);
  return PLACE.every((key) => said(there[key]) === said(here[key]));
}
