// The far look: what is read from two metres, and every clock that runs. As compare/taps_look.py.

import { Bench, left, placeWords, show, stretches, stripsOf } from "./bench.js";
import { dryAt, nameless, settingWords } from "./mixing.js";
import { offers } from "./offers.js";
import { Reading } from "./reading.js";
import { clock, elapsed } from "./words.js";

const NEXT = {
  spread: "next_spread", rate: "next_spread", "run-out": "next_spread", wet: "next_wet", empty: "next_wet", coupled: "next_wet",
  mixing: "next_dry", walked_out: "next_roll", padfoot_starts: "next_roll", trim: "next_trim", final: "next_final",
};
const STOPS = { "padfoot starts": "padfoot", "padfoot ends": "padfoot", "final rolling ends": "smooth" };
const STAGES = { "cement on the ground": "spread", "first mix": "dry", water: "wet" };

export function look(day, entries, { now }) {
  const bench = new Bench(new Reading(day, entries, now));
  const first = offers(day, entries, { now }).find((one) => one.first) ?? null;
  const told = {
    block: 0, strip: 0, what: bench.say("next_done"), start: "", end: "", by: "", by_words: "", late: false, setting: "", level: -1,
    water: "", water_second: "", low_mm: "", low_basis: "", our_low_mm: "", our_low_basis: "", first, clocks: clocks(bench),
  };
  if (!first) return told;
  told.what = what(bench, first);
  const block = day.blocks.find((one) => one.block === first.block);
  if (!block) return told;
  told.block = first.block;
  told.strip = first.strip;
  if (first.start_m !== null && first.end_m !== null) {
    told.start = placeWords(day, first.start_m);
    told.end = show(day, first.end_m);
  }
  const zone = day.zones[zoneOf(block, first)];
  told.low_mm = bench.amount(zone.low_mm);
  told.low_basis = zone.low_basis;
  told.our_low_mm = bench.amount(zone.our_low_mm);
  told.our_low_basis = zone.our_low_basis;
  water(bench, told, block, zone);
  by(bench, told, block, first);
  return told;
}

function what(bench, { key, words }) {
  const [kind, , number] = key.split(" ");
  if (kind === "dry") return bench.say("next_dry", { number });
  return NEXT[kind] ? bench.say(NEXT[kind], { number: 1 }) : words;
}

function zoneOf(block, { strip, start_m }) {
  const row = strip || stripsOf(block)[0];
  const start = start_m ?? block.start_m;
  return (block.parts.find((part) => part.strip === row && part.end_m > start + 1e-6) ?? block.parts[0]).zone;
}

function water(bench, told, block, { setting, water_l_m2 }) {
  told.setting = settingWords(bench, setting, water_l_m2);
  told.level = { off: 0, half: 1, full: 2 }[setting] ?? 2;
  told.water = setting === "off" ? bench.say("no_water") : bench.say("litres", { litres: bench.amount(water_l_m2, 1) });
  told.water_second = truckWords(bench, block);
}

function truckWords(bench, block) {
  const { truck } = bench.reading;
  if (!truck) return bench.say("no_truck");
  const number = nameless(truck.name);
  const kept = truck.left_l;
  let told = bench.say("reaches", { truck: number });
  for (const strip of stripsOf(block)) {
    const spans = left(bench.reading, "wet", strip, stretches(block, strip));
    const spot = dryAt(bench, strip, spans);
    if (spot !== null) {
      told = bench.say("empties", { truck: number, start: show(bench.day, bench.whole(spot)), strip });
      break;
    }
    truck.left_l -= spans.reduce((sum, [start, end]) => sum + bench.reading.litres(strip, start, end), 0);
  }
  truck.left_l = kept;
  return told;
}

function by(bench, told, block, first) {
  const now = bench.reading.clock_min;
  let planned = first.minute + delay(bench, block);
  told.late = planned < now - 0.5;
  told.by = clock(planned);
  told.by_words = bench.day.limits.length ? "" : bench.say("by_plan");
  for (const one of told.clocks) {
    if (one.block !== block.block || one.left_min === null) continue;
    const latest = now + one.left_min - Math.max(plannedStop(bench, block, one) - first.minute, 0);
    if (told.by_words !== "" && latest >= planned) continue;
    planned = Math.min(planned, latest);
    told.by = clock(planned);
    told.late = planned < now - 0.5;
    const owner = one.owner || bench.say("owner_not_said");
    told.by_words = bench.say("by_limit", { hours: elapsed(bench.day.words, one.within_min), event: bench.say(one.event), owner });
  }
}

function plannedStop(bench, block, { event }) {
  const { stop } = bench.day.limits.find(({ start }) => start === event);
  return bench.minute(block, STOPS[stop], stop === "padfoot starts" ? 0 : 1);
}

/** Minutes by which a block is behind its plan: by its first mix, else its first cement, else by the block before. */
function delay(bench, block) {
  for (const event of ["first mix", "cement on the ground"]) {
    const start = began(bench, block, event);
    if (start && block.times[STAGES[event]]) return start.minute - bench.minute(block, STAGES[event], 0);
  }
  const before = bench.day.blocks.filter((one) => one.block < block.block && one.day === block.day).at(-1);
  return before ? Math.max(delay(bench, before), 0) : 0;
}

const least = (events) => events.reduce((best, one) => (one.began < best.began || (one.began === best.began && one.id < best.id) ? one : best));
const latest = (events) => events.reduce((best, one) => (one.at > best.at || (one.at === best.at && one.id > best.id) ? one : best));

function began(bench, block, event) {
  const { reading } = bench;
  let found = reading.events.filter((one) => one.block === block.block && starts(one, event));
  if (event === "water") {
    const passes = found.filter(({ kind }) => kind === "mixing pass");
    const first = passes.length ? least(passes) : null;
    const said = first && (first.under_way || Boolean(first.payload.started_at));
    const ahead = found.filter(({ kind, at }) => kind !== "mixing pass" && (!first || at <= first.began));
    found = said || !ahead.length ? passes : [latest(ahead)];
  }
  if (!found.length) return null;
  const first = least(found);
  return { minute: reading.clock_min + (first.began - reading.at) / 60, first };
}

function starts({ kind, payload }, event) {
  if (event === "cement on the ground") return kind === "spread run";
  if (event === "first mix") return kind === "mixing pass" && payload.mixed !== "aerate";
  if (kind === "water truck coupled") return payload.setting !== "off";
  return kind === "mixing pass" && payload.mixed === "wet" && payload.setting !== "off";
}

function clocks(bench) {
  const plain = { start: "cement on the ground", stop: "final rolling ends", within_min: null, owner: "", source: "" };
  const limits = bench.day.limits.length ? bench.day.limits : [plain];
  return bench.day.blocks.flatMap((block) => limits.map((limit) => clockOf(bench, block, limit)).filter(Boolean));
}

function clockOf(bench, block, { start, stop, within_min, owner }) {
  const begun = began(bench, block, start);
  if (!begun || stopped(bench, block, stop)) return null;
  const run = Math.max((bench.reading.at - begun.first.began) / 60, 0);
  const rest = within_min === null ? null : within_min - run;
  return {
    block: block.block, event: start, started: clock(begun.minute), elapsed: elapsed(bench.day.words, run), elapsed_min: run,
    planned_min: bench.minute(block, STOPS[stop]) - bench.minute(block, STAGES[start], 0), within_min, left_min: rest, owner,
    alarm: rest === null ? -1 : ([0, 15].find((limit) => rest <= limit) ?? -1),
  };
}

function stopped(bench, block, stop) {
  if (stop === "padfoot starts") return bench.reading.has("padfoot", block.block);
  const stage = stop === "padfoot ends" ? "padfoot" : "final";
  return !stripsOf(block).some((strip) => left(bench.reading, stage, strip, stretches(block, strip)).length);
}
