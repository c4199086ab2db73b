// The light reading of a day: how far every strip is, what hopper and truck hold, what is in force. As compare/taps_reading.py.

import { told } from "./events.js";
import { instant } from "./mending.js";

export const EMPTY_KG = 1;
export const EDGE_REACH_M = 15;
const TRAY_REACH_M = 10;

export class Reading {
  constructor(day, entries, now) {
    Object.assign(this, {
      day, now, today: now.slice(0, 10), at: instant(now), events: told(day, entries),
      clock_min: 60 * Number(now.slice(11, 13)) + Number(now.slice(14, 16)) + Number(now.slice(17, 19)) / 60,
      done: new Map(), began: new Set(), went: "", stopped: null, shots: false, delivered: [], filled_kg: 0, fills: 0, hopper_kg: 0,
      filling: null, spots: new Map(), changes: [], tray_due: null, truck: null, emptied: 0, dry_spots: new Map(), problems: [],
      worked: new Set(), cured: false,
    });
    for (const event of this.events) READ[event.kind]?.(this, event);
  }

  get in_truck_kg() {
    return this.delivered.reduce((sum, { kg }) => sum + kg, 0) - this.filled_kg;
  }

  get number() {
    return 1 + [...this.worked].filter((date) => date < this.today).length;
  }

  has(stage, block) {
    return this.began.has(`${stage} ${block}`);
  }

  spans(stage, strip) {
    return this.done.get(`${stage} ${strip}`) ?? [];
  }

  /** Parts of the plan under a stretch of a strip, up-station. */
  parts(strip, start, end) {
    const found = [];
    for (const { parts } of this.day.blocks)
      for (const part of parts) {
        const [low, high] = [Math.max(part.start_m, start), Math.min(part.end_m, end)];
        if (part.strip === strip && high > low) found.push([part, low, high]);
      }
    return found;
  }

  strip(number) {
    return this.day.strips.find(({ strip }) => strip === number);
  }

  cement(strip, start, end, rate = null) {
    const width = this.strip(strip).width_m;
    let kilograms = 0;
    for (const [part, low, high] of this.parts(strip, start, end)) kilograms += (high - low) * width * (rate ?? part.rate_kg_m2);
    return kilograms * this.day.factor;
  }

  litres(strip, start, end, rate = null) {
    const wetted = this.strip(strip).wetted_m;
    let litres = 0;
    for (const [part, low, high] of this.parts(strip, start, end))
      litres += (high - low) * wetted * (rate ?? this.day.zones[part.zone].water_l_m2);
    return litres;
  }
}

function cover(reading, stage, { start_m, end_m, strips }) {
  if (start_m === null || end_m === null) return;
  for (const strip of strips) {
    const name = `${stage} ${strip}`;
    if (!reading.done.has(name)) reading.done.set(name, []);
    reading.done.get(name).push([start_m, end_m]);
  }
}

function fill(reading, event) {
  if (event.under_way) {
    reading.filling = event;
    return;
  }
  const added = event.payload.added_kg ?? null;
  const after = event.payload.hopper_kg ?? null;
  reading.filling = null;
  reading.fills += 1;
  reading.filled_kg += added ?? Math.max((after ?? 0) - reading.hopper_kg, 0);
  reading.hopper_kg = after ?? reading.hopper_kg + (added ?? 0);
}

function spread(reading, event) {
  const { start_m, end_m, strips, payload } = event;
  reading.worked.add(event.date);
  reading.began.add(`spread ${event.block}`);
  if (event.under_way || start_m === null || end_m === null) return;
  cover(reading, "spread", event);
  if (payload.by === "hand") return;
  let laid = 0;
  for (const strip of strips) {
    const spot = reading.spots.get(strip);
    let start = start_m;
    if (spot !== undefined && start < spot && spot <= end_m) {
      start = spot;
      reading.spots.delete(strip);
    }
    laid += reading.cement(strip, start, end_m, payload.rate_kg_m2 ?? null);
  }
  laid = payload.kg ?? laid;
  reading.hopper_kg = payload.left_kg ?? Math.max(reading.hopper_kg - laid, 0);
}

function runOut(reading, event) {
  reading.hopper_kg = 0;
  if (event.start_m !== null && event.strips.length === 1) {
    reading.spots.set(event.strips[0], event.start_m);
    reading.tray_due = event;
  }
}

function tray(reading, { start_m, end_m, strips }) {
  const due = reading.tray_due;
  if (!due || due.start_m === null || start_m === null || !strips.includes(due.strips[0])) return;
  if (start_m - TRAY_REACH_M <= due.start_m && due.start_m <= (end_m || start_m) + TRAY_REACH_M) reading.tray_due = null;
}

function mixed(reading, event) {
  const said = event.payload;
  if (said.mixed === "aerate") return;
  reading.worked.add(event.date);
  reading.began.add(`mix ${event.block}`);
  if (said.mixed === "wet") reading.began.add(`wet ${event.block}`);
  if (event.under_way) return;
  cover(reading, said.mixed === "wet" ? "wet" : `dry ${said.number}`, event);
  pastTray(reading, event);
  if (said.mixed === "wet" && event.start_m !== null && event.end_m !== null) drawn(reading, event);
}

function pastTray(reading, { start_m, end_m, strips }) {
  const due = reading.tray_due;
  if (!due || due.start_m === null || start_m === null || end_m === null) return;
  if (strips.includes(due.strips[0]) && start_m <= due.start_m && due.start_m <= end_m) reading.tray_due = null;
}

function drawn(reading, { start_m, end_m, strips, payload }) {
  for (const strip of strips) {
    const spot = reading.dry_spots.get(strip);
    if (spot !== undefined && start_m <= spot && spot <= end_m) reading.dry_spots.delete(strip);
    const { truck } = reading;
    if (!truck || payload.setting === "off") continue;
    const within = strip === truck.strip && truck.start_m !== null && start_m < truck.start_m && truck.start_m <= end_m;
    const low = within ? truck.start_m : start_m;
    truck.left_l = Math.max(truck.left_l - reading.litres(strip, low, end_m, payload.water_l_m2 ?? null), 0);
  }
}

function coupled(reading, { payload, strips, start_m, block }) {
  const strip = strips.length === 1 ? strips[0] : 0;
  reading.truck = { name: payload.truck || "", left_l: payload.on_board_l ?? reading.day.truck_l, strip, start_m, block };
}

function emptied(reading, event) {
  reading.emptied += 1;
  reading.truck = null;
  if (event.start_m !== null && event.strips.length === 1) reading.dry_spots.set(event.strips[0], event.start_m);
}

const READ = {
  "go/no-go": (reading, { date, payload }) => date === reading.today && (reading.went = payload.decision),
  "delivery ticket": (reading, { payload }) => reading.delivered.push({ ticket: payload.ticket, kg: payload.net_kg }),
  "pre-grade shots": (reading) => (reading.shots = true),
  "spreader fill": fill,
  "spread run": spread,
  "rate change": (reading, { start_m, strips }) => start_m !== null && strips.forEach((strip) => reading.changes.push([strip, start_m])),
  "run-out": runOut,
  "tray check": tray,
  "mixing pass": mixed,
  "water truck coupled": coupled,
  "water truck empty": emptied,
  rolling: (reading, event) => {
    reading.began.add(`${event.payload.rolled} ${event.block}`);
    if (!event.under_way) cover(reading, event.payload.rolled, event);
  },
  "walk-out": (reading, event) => event.payload.walked_out && cover(reading, "walked", event),
  closed: (reading, event) => {
    const problem = event.payload.problem ?? null;
    if (problem === null) cover(reading, "closed", event);
    else reading.problems = reading.problems.filter(({ id }) => id !== problem);
  },
  stop: (reading, event) => (reading.stopped = event.payload.state === "stopped" ? event : null),
  problem: (reading, event) => reading.problems.push(event),
  curing: (reading, { date }) => (reading.cured = reading.cured || date === reading.today),
};
