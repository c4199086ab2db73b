// The bench on which offers are made: words with their numbers, and what is left of a block. As compare/taps_offer.py.

import { gaps } from "./events.js";
import { EMPTY_KG } from "./reading.js";
import { amount, say } from "./words.js";

const DAY_MIN = 1440;

export class Bench {
  constructor(reading) {
    Object.assign(this, { reading, day: reading.day, offers: [] });
  }

  say(key, told) {
    return say(this.day.words, key, told);
  }

  amount(value, decimals = 0) {
    return amount(value, decimals, this.day.point);
  }

  show(station) {
    return show(this.day, station);
  }

  /** Station to the whole metre or foot that a crew paints. */
  whole(station) {
    return Math.floor(station / this.day.unit_m + 0.5) * this.day.unit_m;
  }

  /** Minute of today at which a part of a kind of work on a block is planned to be done. */
  minute(block, stage, part = 1) {
    const [start, end] = block.times[stage] ?? [DAY_MIN, DAY_MIN];
    return start + part * (end - start) + DAY_MIN * (block.day - this.reading.number);
  }

  /** Whether a block is one of today's or of a day before; what is of no block is. */
  today(number) {
    return this.day.blocks.every(({ block, day }) => block !== number || day <= this.reading.number);
  }

  add(key, words, second, told) {
    const offer = {
      key, words, second, icon: "", machine: "", rank: 50, main: false, first: false, now: "", figure: "", block: 0, strip: 0,
      start_m: null, end_m: null, pad: null, ...told,
    };
    offer.main &&= this.today(offer.block);
    this.offers.push(offer);
  }
}

/** Station in a street's style: 140 is `0+140`. */
export function show(day, station) {
  const tenths = Math.floor((Math.abs(station) / day.unit_m) * 10 + 0.5);
  const size = 10 ** (day.digits + 1);
  const rest = tenths % size;
  const tenth = rest % 10;
  const metres = String(Math.floor(rest / 10)).padStart(day.digits, "0");
  return `${station < 0 && tenths ? "-" : ""}${Math.floor(tenths / size)}+${metres}${tenth ? `.${tenth}` : ""}`;
}

/** Station by its nearest landmark: `20 m past pole 2 (0+080)`. */
export function placeWords(day, station) {
  const shown = show(day, station);
  if (!day.landmarks.length) return shown;
  let [nearest] = day.landmarks;
  for (const one of day.landmarks)
    if (Math.abs(one.station_m - station) < Math.abs(nearest.station_m - station) - 1e-6) nearest = one;
  const away = (station - nearest.station_m) / day.unit_m;
  const far = amount(Math.abs(away), 1, day.point);
  if (far === "0") return say(day.words, "at", { name: nearest.name, station: shown });
  return say(day.words, away > 0 ? "past" : "before", { far, unit: day.unit, name: nearest.name, station: shown });
}

/** Strips of a block that are treated, in order of work. */
export function stripsOf({ parts }) {
  return [...new Set(parts.filter(({ rate_kg_m2 }) => rate_kg_m2 > 0).map(({ strip }) => strip))];
}

/** Stretches of a strip of a block that are treated, of those that want so many dry passes; neighbours are one. */
export function stretches({ parts }, strip, dry = 0) {
  const found = [];
  for (const part of parts) {
    if (part.strip !== strip || part.rate_kg_m2 <= 0 || part.dry < dry) continue;
    const last = found.at(-1);
    if (last && Math.abs(last[1] - part.start_m) < 1e-6) last[1] = part.end_m;
    else found.push([part.start_m, part.end_m]);
  }
  return found;
}

/** What is left to do of some stretches of a strip. */
export function left(reading, stage, strip, spans) {
  return spans.flatMap(([start, end]) => gaps(reading.spans(stage, strip), start, end));
}

export function done(reading, block, stage) {
  return !stripsOf(block).some((strip) => left(reading, stage, strip, stretches(block, strip)).length);
}

/** Whether no cement is left and none is to come today. */
export function cementOut(reading) {
  const toCome = reading.day.loads.filter(({ day }) => day <= reading.number);
  return (
    reading.hopper_kg < EMPTY_KG && reading.in_truck_kg < EMPTY_KG && reading.fills > 0 && reading.delivered.length >= toCome.length
  );
}

export function place(block, strips, start = null, end = null) {
  const told = { block: block.name, strips };
  if (start !== null) told.start_m = start;
  if (end !== null) told.end_m = end;
  return told;
}

/** Treated parts of a strip of a block under a stretch, cut to it. */
export function partsOf({ parts }, strip, start, end) {
  const found = [];
  for (const part of parts) {
    const [low, high] = [Math.max(part.start_m, start), Math.min(part.end_m, end)];
    if (part.strip === strip && part.rate_kg_m2 > 0 && high > low) found.push({ ...part, start_m: low, end_m: high });
  }
  return found;
}

export const sameSpans = (one, other) => JSON.stringify(one) === JSON.stringify(other);
