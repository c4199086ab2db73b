// Offers of the mixer and its water truck: passes, coupling, where a truck runs dry, the hole, the squeeze. As compare/taps_mixing.py.

import { cementOut, left, partsOf, place, sameSpans, stretches, stripsOf } from "./bench.js";
import { BEFORE } from "./spreading.js";

const DUE_L = 1;
const DEPTH_MOST = 1500;
const DEPTH_LIKELY = 375;

export function offerMixer(bench) {
  for (const block of bench.day.blocks) {
    const strips = stripsOf(block);
    if (!strips.some((strip) => left(bench.reading, "wet", strip, stretches(block, strip)).length)) continue;
    if (strips.some((strip) => ready(bench, block, strip))) offerBlock(bench, block);
    return;
  }
}

function offerBlock(bench, block) {
  const begun = bench.reading.has("mix", block.block);
  if (!begun) mixingStarts(bench, block);
  const item = nextDry(bench, block);
  if (item) dry(bench, block, item);
  else if (!dryLeft(bench, block)) wet(bench, block);
  if (begun) depth(bench, block);
}

/** Whether the cement of a strip lies: all of it, or all that there is. */
function ready({ reading }, block, strip) {
  const spans = stretches(block, strip);
  const gaps = left(reading, "spread", strip, spans);
  return !gaps.length || (cementOut(reading) && !sameSpans(gaps, spans));
}

function items(block) {
  const most = Math.max(0, ...block.parts.map((part) => part.dry));
  const found = [];
  for (let number = 1; number <= most; number += 1)
    for (const strip of stripsOf(block)) {
      const spans = stretches(block, strip, number);
      if (spans.length) found.push({ number, strip, spans });
    }
  return found;
}

function nextDry(bench, block) {
  const all = items(block);
  for (const [at, { number, strip, spans }] of all.entries()) {
    const rest = left(bench.reading, `dry ${number}`, strip, spans);
    if (rest.length && ready(bench, block, strip)) return { number, strip, spans: rest, part: (at + 1) / all.length };
  }
  return null;
}

function dryLeft({ reading }, block) {
  return items(block).some(({ number, strip, spans }) => left(reading, `dry ${number}`, strip, spans).length);
}

function mixingStarts(bench, block) {
  const strips = stripsOf(block).filter((strip) => ready(bench, block, strip));
  const { start_m, end_m } = block;
  const payload = { mixed: "dry", number: 1, under_way: true };
  bench.add(`mixing starts ${block.block}`, bench.say("mixing_starts"), bench.say("block", { block: block.block }), {
    minute: bench.minute(block, "dry", 0), icon: "mixer", machine: "mixer", main: true, block: block.block, strip: strips[0],
    start_m, end_m, entries: [{ kind: "mixing pass", place: place(block, strips, start_m, end_m), payload }],
  });
}

function dry(bench, block, { number, strip, spans, part }) {
  const payload = { mixed: "dry", number };
  const entries = spans.map(([start, end]) => ({ kind: "mixing pass", place: place(block, [strip], start, end), payload }));
  bench.add(`dry ${block.block} ${number} ${strip}`, bench.say("dry", { number, strip }), until(bench, block, spans), {
    minute: bench.minute(block, "dry", part) + BEFORE, icon: `dry${Math.min(number, 3)}`, machine: "mixer", main: true,
    now: bench.say("now_dry", { number, strip }), block: block.block, strip, start_m: spans[0][0], end_m: spans.at(-1)[1], entries,
  });
}

function until(bench, block, spans) {
  const end = spans.at(-1)[1];
  return bench.say(end === block.end_m ? "to_end" : "to", { end: bench.show(end), block: block.block });
}

function wet(bench, block) {
  const strips = stripsOf(block);
  for (const [at, strip] of strips.entries()) {
    const spans = left(bench.reading, "wet", strip, stretches(block, strip));
    if (!spans.length || !ready(bench, block, strip)) continue;
    const minute = bench.minute(block, "wet", (at + 1) / strips.length) + BEFORE;
    const takes = bench.minute(block, "wet", 1 / strips.length) - bench.minute(block, "wet", 0);
    const watered = spans.flatMap((span) => settings(bench, block, strip, span)).filter(({ setting }) => setting !== "off");
    let { truck } = bench.reading;
    if (truck && bench.day.tops_up && truck.block !== block.block) truck = null;
    if (watered.length && !truck) {
      coupled(bench, block, strip, { spans, watered, minute: minute - takes });
      return;
    }
    if (watered.length) empty(bench, block, strip, { spans, minute, takes });
    wetStrip(bench, block, strip, spans, minute);
    squeeze(bench, block, strip, minute);
    return;
  }
}

/** Parts of a stretch by the setting of the bar; neighbours of one setting are one. */
export function settings(bench, block, strip, [from, to]) {
  const found = [];
  for (const part of partsOf(block, strip, from, to)) {
    const { setting, water_l_m2: litres } = bench.day.zones[part.zone];
    const last = found.at(-1);
    if (last && last.setting === setting && last.litres === litres) last.end = part.end_m;
    else found.push({ setting, litres, start: part.start_m, end: part.end_m });
  }
  return found;
}

/** Setting as it is called out: `FULL`, `15 L/m2`. */
export function settingWords(bench, setting, litres) {
  return setting ? bench.say(setting) : bench.say("litres", { litres: bench.amount(litres, 1) });
}

const truckNumber = ({ day, reading }) => (day.tops_up ? 1 : reading.emptied + 1);

function coupled(bench, block, strip, { spans, watered, minute }) {
  const [start_m, end_m] = [spans[0][0], spans.at(-1)[1]];
  const at = bench.reading.dry_spots.get(strip) ?? start_m;
  const { setting, litres } = watered.find(({ end }) => end > at) ?? watered.at(-1);
  const truck = truckNumber(bench);
  const payload = { truck: `water ${truck}`, ...(setting ? { setting } : { water_l_m2: litres }) };
  const words = bench.say("coupled", { setting: settingWords(bench, setting, litres) });
  bench.add(`coupled ${block.block} ${strip} ${truck}`, words, bench.say("coupled_second", { truck, litres: bench.amount(litres, 1) }), {
    minute, icon: "water", machine: "mixer", main: true, block: block.block, strip, start_m, end_m,
    entries: [{ kind: "water truck coupled", place: place(block, [strip], at), payload }],
  });
}

/** Where the coupled truck runs dry on what is left of a strip; null where it holds enough. */
export function dryAt({ reading }, strip, spans) {
  const { truck } = reading;
  if (!truck) return null;
  let content = truck.left_l;
  for (const [start, end] of spans) {
    const within = strip === truck.strip && truck.start_m !== null && start < truck.start_m && truck.start_m <= end;
    for (const [, first, last] of reading.parts(strip, within ? truck.start_m : start, end)) {
      const takes = reading.litres(strip, first, last);
      if (takes > 0 && content + DUE_L < takes) return first + ((last - first) * content) / takes;
      content = Math.max(content - takes, 0);
    }
  }
  return null;
}

export const nameless = (name) => (name.startsWith("water ") ? name.slice(6) : name);

function empty(bench, block, strip, { spans, minute, takes }) {
  const { truck } = bench.reading;
  if (!truck) return;
  const due = dryAt(bench, strip, spans);
  const [start_m, end_m] = [spans[0][0], spans.at(-1)[1]];
  const spot = due === null ? null : Math.min(Math.max(bench.whole(due), start_m), end_m);
  const number = nameless(truck.name) || truckNumber(bench);
  const told = { truck: number, start: spot === null ? "" : bench.show(spot) };
  bench.add(`empty ${block.block} ${strip} ${number}`, bench.say("empty"), bench.say(spot === null ? "empty_second_not_due" : "empty_second", told), {
    minute: due === null ? minute - BEFORE : minute - (takes * (end_m - due)) / (end_m - start_m), icon: "dry", machine: "mixer",
    rank: 20, main: spot !== null, now: bench.say("now_wet", { strip }), figure: figure(bench, block, strip, spans),
    block: block.block, strip, start_m, end_m,
    pad: { kind: "where", title: bench.say("empty_where", { strip }), station_m: spot, start_m, end_m },
    entries: [{ kind: "water truck empty", place: place(block, [strip], spot), payload: { truck: truck.name } }],
  });
}

function figure(bench, block, strip, spans) {
  const [{ setting, litres }] = settings(bench, block, strip, spans[0]);
  return settingWords(bench, setting, litres);
}

function wetStrip(bench, block, strip, spans, minute) {
  const entries = spans.flatMap((span) =>
    settings(bench, block, strip, span).map(({ setting, litres, start, end }) => ({
      kind: "mixing pass",
      place: place(block, [strip], start, end),
      payload: { mixed: "wet", number: 1, ...(setting ? { setting } : { water_l_m2: litres }) },
    })),
  );
  bench.add(`wet ${block.block} ${strip}`, bench.say("wet", { strip }), until(bench, block, spans), {
    minute, icon: "wet", machine: "mixer", main: true, now: bench.say("now_wet", { strip }), figure: figure(bench, block, strip, spans),
    block: block.block, strip, start_m: spans[0][0], end_m: spans.at(-1)[1], entries,
  });
}

function squeeze(bench, block, strip, minute) {
  const choices = ["smears", "holds", "crumbles"].map((result) => ({
    words: bench.say(result), second: bench.say(`${result}_second`), set: { result },
  }));
  bench.add("squeeze", bench.say("squeeze"), bench.say("squeeze_second"), {
    minute, icon: "hand", machine: "mixer", rank: 25, block: block.block, strip,
    pad: { kind: "choice", title: bench.say("squeeze_second"), choices },
    entries: [{ kind: "squeeze", place: place(block, [strip]), payload: {} }],
  });
}

function depth(bench, block) {
  const strips = stripsOf(block);
  const strip = strips.filter((one) => bench.reading.spans("dry 1", one).length).at(-1) ?? strips[0];
  const fields = [{ path: ["depth_mm"], unit: "mm", label: "", typical: DEPTH_LIKELY, least: 0, most: DEPTH_MOST }];
  bench.add("depth", bench.say("depth"), bench.say("depth_second"), {
    minute: bench.minute(block, "wet"), icon: "hole", machine: "mixer", rank: 35, block: block.block, strip,
    pad: {
      kind: "number", title: bench.say("depth_title"), where: `${bench.say("block", { block: block.block })}, ${bench.say("strip", { strip })}`,
      fields, photo: false, text: "", spot: block.start_m, not_checked: null,
    },
    entries: [
      { kind: "depth check", place: place(block, [strip]), payload: { state: "loose", measured_from: "loose surface" } },
    ],
  });
}
