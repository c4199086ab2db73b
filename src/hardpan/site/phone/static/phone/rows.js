// Rows of the day: what was tapped, newest first; one tap is one row. As compare/taps_rows.py.

import { show } from "./bench.js";
import { nameless } from "./mixing.js";
import { Reading } from "./reading.js";
import { amount, say } from "./words.js";

const NAMED = {
  "depth check": "depth", squeeze: "squeeze", "walk-out": "walked_out", closed: "closed", curing: "curing",
  "blade chatters": "chatters", "machine ruts": "ruts", problem: "problem",
};

/** Last taps that count, newest first. */
export function rows(day, entries, { now, most = 6 }) {
  const reading = new Reading(day, entries, now);
  const taps = new Map();
  for (const event of reading.events) {
    if (event.date !== reading.today) continue;
    const tap = `${event.device} ${event.entered} ${event.at}`;
    if (!taps.has(tap)) taps.set(tap, []);
    taps.get(tap).push(event);
  }
  return [...taps.values()].slice(-most).reverse().map((group) => rowOf(reading, group));
}

/** Events of the last tap of a phone today; none where it made none. */
export function lastGroup(reading, device) {
  const own = reading.events.filter((one) => one.date === reading.today && (!device || one.device === device));
  if (!own.length) return [];
  const last = own.reduce((best, one) => (one.entered > best.entered || (one.entered === best.entered && one.id > best.id) ? one : best));
  return own.filter((one) => one.device === last.device && one.entered === last.entered);
}

export function rowOf(reading, group) {
  const { day } = reading;
  const [first] = group;
  let text = figure(day, first);
  const places = group.filter((one) => one.kind === first.kind && one.start_m !== null && one.end_m !== null);
  if (!text && places.length && (first.kind === "spread run" || first.kind === "mixing pass")) {
    const start = Math.min(...places.map(({ start_m }) => start_m));
    const end = Math.max(...places.map(({ end_m }) => end_m));
    text = say(day.words, "from_to", { start: show(day, start), end: show(day, end) });
  }
  let mark = first.kind === "run-out" || first.kind === "stop" ? "cross" : "tick";
  if (first.payload.checked === "not checked") mark = "ask";
  return { clock: first.clock, mark, words: words(reading, first), figure: text, strong: mark === "ask", ids: group.map(({ id }) => id) };
}

function words(reading, event) {
  const { words: phrases, point } = reading.day;
  const { kind, payload: said, under_way } = event;
  const strip = event.strips.join(", ");
  const tell = (key, told) => say(phrases, key, told);
  switch (kind) {
    case "go/no-go": return tell(said.decision === "go" ? "go" : "no_go");
    case "delivery ticket": return tell("ticket_row", { ticket: said.ticket });
    case "pre-grade shots": return tell("shots_row");
    case "spreader fill": return tell(under_way ? "fill_starts" : "fill_row", { fill: fillNumber(reading, event) });
    case "spread run": return under_way ? tell("spreading_starts") : tell("spread", { strip });
    case "rate change": return tell("rate_change_row", { strip });
    case "run-out": return tell("run_out_row", { strip });
    case "tray check": return tell("tray_row", { strip });
    case "mixing pass":
      if (said.mixed === "wet") return tell("wet", { strip });
      return under_way ? tell("mixing_starts") : tell("dry", { number: said.number, strip });
    case "water truck empty": return tell("empty_row", { strip });
    case "water truck coupled": {
      const litres = tell("litres", { litres: amount(said.water_l_m2 || 0, 1, point) });
      return tell("coupled_row", { truck: nameless(said.truck || ""), setting: said.setting ? tell(said.setting) : litres });
    }
    case "rolling": {
      const key = { padfoot: under_way ? "padfoot_starts" : "walked_out", trim: "trim", final: "final" }[said.rolled];
      return key ? tell(key) : kind;
    }
    case "stop": return tell(said.state === "stopped" ? "stopped_row" : "goes_on");
    default: return NAMED[kind] ? tell(NAMED[kind]) : kind;
  }
}

/** Number of a fill: of those that were in before it, and one. Events come in order of happening. */
function fillNumber(reading, event) {
  const fills = reading.events.filter(({ kind, under_way }) => kind === "spreader fill" && !under_way);
  const before = (one) => one.at < event.at || (one.at === event.at && (one.entered < event.entered || (one.entered === event.entered && one.id < event.id)));
  return 1 + fills.filter((one) => one.id !== event.id && before(one)).length;
}

function figure(day, { kind, payload: said, start_m, block }) {
  const number = (value, decimals = 0) => amount(value, decimals, day.point);
  const tell = (key, told) => say(day.words, key, told);
  if (said.checked === "not checked") return tell("not_checked");
  switch (kind) {
    case "delivery ticket": return tell("kilograms", { kg: number(said.net_kg) });
    case "spreader fill": return tell("kilograms", { kg: number(said.added_kg ?? said.hopper_kg) });
    case "rate change": {
      const rate = tell("rate", { rate: number(said.rate_kg_m2, 1) });
      const before = said.from_kg_m2 ?? null;
      return before === null ? rate : tell("from_to", { start: number(before, 1), end: rate });
    }
    case "tray check": {
      const caught = (said.tray_kg ?? null) !== null && said.tray_area_m2 ? said.tray_kg / said.tray_area_m2 : said.tray_kg_m2;
      return tell("rate", { rate: number(caught ?? 0, 1) });
    }
    case "depth check": return tell("millimetres", { mm: number(said.depth_mm) });
    case "squeeze": return tell(said.result);
    case "rolling": case "walk-out": case "closed": return block ? tell("block", { block }) : "";
    case "run-out": case "water truck empty": case "water truck coupled": return start_m === null ? "" : show(day, start_m);
    default: return "";
  }
}
