// Offers of the spreader: loads, fills, strips, the rate at painted edges, run-outs and trays. As compare/taps_spreading.py.

import { cementOut, left, partsOf, place, stretches, stripsOf } from "./bench.js";
import { EDGE_REACH_M, EMPTY_KG } from "./reading.js";

export const BEFORE = 0.001;
const [FILL_AHEAD, FILLED_AHEAD] = [2 * BEFORE, BEFORE];
const DUE_KG = 0.5;
const TRAY_MOST = 120;

export function offerSpreader(bench) {
  const { reading } = bench;
  offerTicket(bench);
  const found = nextStrip(bench);
  if (reading.filling) fillIn(bench, found);
  if (!found) return;
  const { block, strip, spans, minute } = found;
  const out = cementOut(reading);
  if (out && !reading.spots.has(strip)) return;
  if (!reading.filling && !out) fillStarts(bench, block, minute);
  if (!reading.filling && (reading.hopper_kg >= EMPTY_KG || out)) {
    stripSpread(bench, block, strip, { spans, minute, out });
    ruts(bench, block, strip, spans[0], minute);
  }
  tray(bench, block, strip, minute);
}

function nextStrip(bench) {
  for (const block of bench.day.blocks) {
    const strips = stripsOf(block);
    for (const [at, strip] of strips.entries()) {
      const spans = left(bench.reading, "spread", strip, stretches(block, strip));
      if (spans.length) return { block, strip, spans, minute: bench.minute(block, "spread", (at + 1) / strips.length) };
    }
  }
  return null;
}

export function offerTicket(bench) {
  const { reading } = bench;
  const { loads, blocks } = bench.day;
  const number = reading.delivered.length;
  const expected = loads[number] ?? null;
  if (!expected && !cementOut(reading)) return;
  const more = bench.say("ticket_second_more");
  const second = expected ? bench.say("ticket_second", { kg: bench.amount(expected.kg) }) : more;
  const minute = expected ? expected.time_min + 1440 * (expected.day - reading.number) : blocks.at(-1).times.spread[1];
  const fields = [{ path: ["net_kg"], unit: "kg", label: more, typical: expected?.kg ?? null, least: 100, most: 60000 }];
  const payload = { ticket: expected?.ticket || `load ${number + 1}`, ...(expected && { ordered_kg: expected.kg }) };
  bench.add("ticket", bench.say("ticket"), second, {
    minute, icon: "ticket", machine: "spreader", rank: 60, main: expected !== null && expected.day <= reading.number,
    pad: { kind: "number", title: second, where: "", fields, photo: true, text: "ticket", not_checked: null },
    entries: [{ kind: "delivery ticket", place: null, payload }],
  });
}

/** Load that the next fill comes from, and what is left of it: one truck stands there at a time. */
function source({ reading }) {
  let before = 0;
  for (const { ticket, kg } of reading.delivered) {
    before += kg;
    if (before - reading.filled_kg >= EMPTY_KG) return [ticket, before - reading.filled_kg];
  }
  return ["", 0];
}

function fillStarts(bench, block, minute) {
  const { reading } = bench;
  const [ticket, rest] = source(bench);
  const added = Math.min(bench.day.hopper_kg - reading.hopper_kg, rest);
  if (added < EMPTY_KG) return;
  const payload = { added_kg: added, ticket, under_way: true };
  const second = bench.say("fill_second", { kg: bench.amount(added), ticket });
  bench.add("fill starts", bench.say("fill_starts", { fill: reading.fills + 1 }), second, {
    minute: minute - FILL_AHEAD, icon: "spreader", machine: "spreader", rank: 58,
    main: reading.hopper_kg < EMPTY_KG && bench.today(block.block),
    entries: [{ kind: "spreader fill", place: null, payload }],
  });
}

function fillIn(bench, found) {
  const { happened, payload: said } = bench.reading.filling;
  const payload = {};
  for (const key of ["added_kg", "hopper_kg", "ticket"]) if ((said[key] ?? null) !== null) payload[key] = said[key];
  payload.started_at = happened;
  const kg = bench.amount(said.added_kg ?? said.hopper_kg ?? 0);
  const second = bench.say("fill_second", { kg, ticket: said.ticket || "" });
  bench.add("fill in", bench.say("fill_in", { fill: bench.reading.fills + 1 }), second, {
    minute: (found ? found.minute : 0) - FILLED_AHEAD, icon: "spreader", machine: "spreader", main: true,
    entries: [{ kind: "spreader fill", place: null, payload }],
  });
}

function stripSpread(bench, block, strip, { spans: all, minute, out }) {
  const spot = bench.reading.spots.get(strip);
  let spans = all;
  if (out && spot !== undefined) spans = spans.filter(([start]) => start < spot).map(([start, end]) => [start, Math.min(end, spot)]);
  if (!spans.length) return;
  const whole = stretches(block, strip);
  const takes = bench.minute(block, "spread", 1 / stripsOf(block).length) - bench.minute(block, "spread", 0);
  const last = whole.at(-1)[1];
  const length = last - whole[0][0];
  const at = (station) => minute - (takes * (last - station)) / length;
  const changed = out ? null : rateChange(bench, block, strip, spans, at);
  spreadingStarts(bench, block, strip, spans, at(spans[0][0]));
  if (!out) runOut(bench, block, strip, spans, at);
  const entries = spans.map(([start, end]) => {
    const rates = [...new Set(partsOf(block, strip, start, end).map(({ rate_kg_m2 }) => rate_kg_m2))];
    const payload = rates.length === 1 ? { rate_kg_m2: rates[0] } : {};
    return { kind: "spread run", place: place(block, [strip], start, end), payload };
  });
  const [part] = partsOf(block, strip, ...spans[0]);
  const end_m = spans.at(-1)[1];
  const second = bench.say(end_m === block.end_m ? "to_end" : "to", { end: bench.show(end_m), block: block.block });
  bench.add(`spread ${block.block} ${strip}`, bench.say("spread", { strip }), second, {
    minute, icon: "spreader", machine: "spreader", main: true, now: bench.say("now_spread", { strip }),
    figure: bench.say("rate", { rate: bench.amount(changed || part.rate_kg_m2, 1) }), block: block.block, strip,
    start_m: spans[0][0], end_m, entries,
  });
}

function spreadingStarts(bench, block, strip, spans, at) {
  const asked = bench.day.limits.some(({ start }) => start === "cement on the ground");
  if (!asked || bench.reading.has("spread", block.block)) return;
  const [start_m, end_m] = [spans[0][0], spans.at(-1)[1]];
  bench.add(`spreading starts ${block.block}`, bench.say("spreading_starts"), bench.say("block", { block: block.block }), {
    minute: at - BEFORE / 2, icon: "spreader", machine: "spreader", main: true, block: block.block, strip, start_m, end_m,
    entries: [{ kind: "spread run", place: place(block, [strip], start_m, end_m), payload: { under_way: true } }],
  });
}

/** The next painted edge where nobody has said yet that the rate was changed; gives the rate up to there. */
function rateChange(bench, block, strip, spans, at) {
  let before = null;
  for (const [start, end] of spans) {
    const parts = partsOf(block, strip, start, end);
    for (let place_ = 1; place_ < parts.length; place_ += 1) {
      const [last, part] = [parts[place_ - 1], parts[place_]];
      const edge = part.start_m;
      const changed = bench.reading.changes.some(([one, station]) => one === strip && Math.abs(station - edge) <= EDGE_REACH_M);
      if (last.rate_kg_m2 === part.rate_kg_m2 || changed) {
        before = part.rate_kg_m2;
        continue;
      }
      const told = { start: bench.show(edge), before: bench.amount(last.rate_kg_m2, 1), rate: bench.amount(part.rate_kg_m2, 1) };
      const payload = { from_kg_m2: last.rate_kg_m2, rate_kg_m2: part.rate_kg_m2 };
      const key = `rate change ${block.block} ${strip} ${told.start}`;
      bench.add(key, bench.say("rate_change"), bench.say("rate_change_second", told), {
        minute: at(edge), icon: "edge", machine: "spreader", main: true, now: bench.say("now_spread", { strip }),
        figure: bench.say("rate", { rate: told.before }), block: block.block, strip, start_m: start, end_m: end,
        entries: [{ kind: "rate change", place: place(block, [strip], edge), payload }],
      });
      return before;
    }
  }
  return before;
}

function runOutAt({ reading, day }, strip, spans) {
  let content = reading.hopper_kg;
  const spot = reading.spots.get(strip);
  const { width_m } = reading.strip(strip);
  for (const [start, end] of spans)
    for (const [part, first, high] of reading.parts(strip, start, end)) {
      const low = spot !== undefined && spot < high ? Math.max(first, spot) : first;
      const each = part.rate_kg_m2 * width_m * day.factor;
      if (content + DUE_KG < each * (high - low)) return low + content / each;
      content = Math.max(content - each * (high - low), 0);
    }
  return null;
}

function runOut(bench, block, strip, spans, at) {
  const due = runOutAt(bench, strip, spans);
  const [start_m, end_m] = [spans[0][0], spans.at(-1)[1]];
  const spot = due === null ? null : Math.min(Math.max(bench.whole(due), start_m), end_m);
  const second = bench.say(spot === null ? "run_out_second_not_due" : "run_out_second", { start: spot === null ? "" : bench.show(spot) });
  const rate = bench.amount(partsOf(block, strip, ...spans[0])[0].rate_kg_m2, 1);
  bench.add(`run-out ${block.block} ${strip}`, bench.say("run_out"), second, {
    minute: due === null ? at(end_m) - FILLED_AHEAD : at(due), icon: "cross", machine: "spreader", rank: 20, main: spot !== null,
    now: bench.say("now_spread", { strip }), figure: bench.say("rate", { rate }), block: block.block, strip, start_m, end_m,
    pad: { kind: "where", title: bench.say("run_out_where", { strip }), station_m: spot, start_m, end_m },
    entries: [{ kind: "run-out", place: place(block, [strip], spot), payload: {} }],
  });
}

function tray(bench, block, strip, minute) {
  const { reading, day } = bench;
  const due = reading.tray_due;
  if (!due && !reading.has("spread", block.block) && reading.hopper_kg < EMPTY_KG) return;
  const [number, row, station] = due ? [due.block, due.strips[0], due.start_m] : [block.block, strip, null];
  const home = day.blocks.find((one) => one.block === number) ?? block;
  const here = station ?? home.start_m;
  const parts = home.parts.filter((part) => part.strip === row);
  const rate = (parts.find(({ end_m }) => end_m > here) ?? parts.at(-1)).rate_kg_m2;
  const spot = `${bench.say("block", { block: home.block })}, ${bench.say("strip", { strip: row })}`;
  const restart = station === null ? "" : bench.say("tray_due", { start: bench.show(station) });
  const fields = [{ path: ["tray_kg_m2"], unit: "kg/m\u00b2", label: "", typical: rate, least: 0, most: TRAY_MOST }];
  bench.add("tray", bench.say("tray"), restart || bench.say("tray_second"), {
    minute, icon: "tray", machine: "spreader", rank: due ? 10 : 30, block: home.block, strip: row,
    pad: {
      kind: "number", title: bench.say("tray_title"), where: restart ? `${spot}: ${restart}` : spot, fields, photo: false, text: "",
      spot: station === null ? here : null, not_checked: { checked: "not checked", rate_kg_m2: rate },
    },
    entries: [{ kind: "tray check", place: place(home, [row], station), payload: { checked: "weighed", rate_kg_m2: rate } }],
  });
}

function ruts(bench, block, strip, [start_m, end_m], minute) {
  const words = { shows: "shows", ruts: "rut_ruts", sinks: "sinks" };
  const choices = Object.entries(words).map(([word, key]) => ({
    words: bench.say(key), second: bench.say(`${key}_second`), set: { word },
  }));
  bench.add("machine ruts", bench.say("ruts"), bench.say("ruts_second"), {
    minute, icon: "rut", machine: "spreader", rank: 80, block: block.block, strip, start_m, end_m,
    pad: { kind: "choice", title: bench.say("ruts_second"), choices },
    entries: [{ kind: "machine ruts", place: place(block, [strip]), payload: { machine: "spreader" } }],
  });
}
