// Offers: what can happen next, the first choice first; STOP, a problem and the undo always beside it. As compare/taps_offers.py.

import { Bench } from "./bench.js";
import { offerClosing } from "./closing.js";
import { offerMixer } from "./mixing.js";
import { Reading } from "./reading.js";
import { lastGroup, rowOf } from "./rows.js";
import { offerSpreader, offerTicket } from "./spreading.js";

const SHOTS_AHEAD_MIN = 45;
const ABOUT = {
  "soft place": "soft place", about_depth: "depth", about_cement: "cement", about_water: "water", about_machine: "machine",
  about_service: "service", about_dust: "dust", about_rain: "rain", about_hurt: "person hurt", about_other: "other",
};

/** What can be tapped at `now`, a time with its offset; `device` is this phone, which undoes only what it entered itself. */
export function offers(day, entries, { now, device = "" }) {
  const reading = new Reading(day, entries, now);
  const may = ({ entries: made }) => day.may === null || made.every(({ kind }) => day.may.includes(kind));
  const work = new Bench(reading);
  if (!reading.stopped) offerDay(work);
  const beside = new Bench(reading);
  fixed(beside, device);
  return [...ordered(work.offers.filter(may)), ...beside.offers.filter(may)];
}

function offerDay(bench) {
  const { reading } = bench;
  if (reading.went !== "go") {
    if (reading.went === "") {
      offerTicket(bench);
      for (const one of bench.offers) one.main = false;
    }
    go(bench);
    return;
  }
  if (!reading.shots && !reading.began.size) shots(bench);
  offerSpreader(bench);
  offerMixer(bench);
  offerClosing(bench);
}

function go(bench) {
  const rules = bench.day.rules.join(" \u00b7 ") || bench.say("no_limit");
  const calls = [["go", "go", rules], ["no_go", "no-go", bench.say("no_go_second")]];
  for (const [key, decision, second] of calls) {
    if (key === "no_go" && bench.reading.went === "no-go") continue;
    bench.add(key, bench.say(key), second, {
      minute: 0, icon: key, rank: 1, main: key === "go", now: bench.say("now_go"),
      entries: [{ kind: "go/no-go", place: null, payload: { decision } }],
    });
  }
}

function shots(bench) {
  const { day } = bench;
  if (!day.shots.length) return;
  const [unit, least, most] = day.shots_by === "level_m" ? ["m", -1000, 10000] : ["mm", -500, 5000];
  const fields = day.shots.map(({ words }, at) => ({
    path: ["shots", at, day.shots_by], unit, label: words, typical: null, least, most,
  }));
  const second = bench.say("shots_second", { count: fields.length });
  bench.add("shots", bench.say("shots"), second, {
    minute: bench.minute(day.blocks[0], "spread", 0) - SHOTS_AHEAD_MIN, icon: "shots", machine: "grader", main: true,
    pad: {
      kind: "number", title: bench.say("shots"), where: second, fields, photo: false, text: "", spot: null,
      not_checked: { checked: "not checked" },
    },
    entries: [
      {
        kind: "pre-grade shots", place: null,
        payload: { checked: "checked", shots: day.shots.map(({ station_m, side_offset_m }) => ({ station_m, side_offset_m })) },
      },
    ],
  });
}

function ordered(found) {
  const mains = found.filter(({ main }) => main).sort((one, other) => one.minute - other.minute);
  const others = found.filter(({ main }) => !main).sort((one, other) => one.rank - other.rank);
  if (!mains.length) return others;
  const first = { ...mains[0], first: true, now: mains[0].now || mains[0].words };
  const touches = (one) => one.rank === 10 || (one.rank <= 20 && one.machine === first.machine && one.strip === first.strip);
  return [first, ...others.filter(touches), ...mains.slice(1), ...others.filter((one) => !touches(one))];
}

function fixed(bench, device) {
  const { reading } = bench;
  if (reading.stopped)
    bench.add("goes on", bench.say("goes_on"), bench.say("goes_on_second", { clock: reading.stopped.clock }), {
      minute: 0, icon: "on", rank: 90, entries: [{ kind: "stop", place: null, payload: { state: "resumed" } }],
    });
  undo(bench, device);
  bench.add("problem", bench.say("problem"), bench.say("problem_second"), {
    minute: 0, icon: "problem", rank: 92, pad: { kind: "choice", title: bench.say("problem"), choices: problems(bench) },
    entries: [{ kind: "problem", place: here(bench), payload: {} }],
  });
  if (!reading.stopped)
    bench.add("stop", bench.say("stop"), bench.say("stop_second"), {
      minute: 0, icon: "stop", rank: 93, entries: [{ kind: "stop", place: null, payload: { state: "stopped" } }],
    });
}

function undo(bench, device) {
  const group = lastGroup(bench.reading, device);
  if (!group.length) return;
  const { clock, words } = rowOf(bench.reading, group);
  const entries = group.map(({ id }) => ({ kind: "withdrawal", place: null, payload: {}, corrects: id }));
  bench.add("undo", bench.say("undo"), bench.say("undo_second", { clock, words }), { minute: 0, icon: "undo", rank: 91, entries });
}

function problems(bench) {
  const said = (about) => bench.say(Object.keys(ABOUT).find((key) => ABOUT[key] === about));
  const closing = bench.reading.problems.slice(-3).map(({ id, clock, payload }) => ({
    words: bench.say("closed"), second: `${clock} ${said(payload.about)}`, set: { problem: id }, kind: "closed",
  }));
  return [...closing, ...Object.entries(ABOUT).map(([key, about]) => ({ words: bench.say(key), second: "", set: { about }, kind: "" }))];
}

function here({ reading, day }) {
  const event = reading.events.findLast(({ block }) => block);
  return event ? { block: day.blocks.find(({ block }) => block === event.block).name, strips: event.strips } : null;
}
