// Offers of the rollers and the grader, and what closes a block. As compare/taps_closing.py.

import { done, place, stripsOf } from "./bench.js";
import { BEFORE } from "./spreading.js";

const LITRES_MOST = 200000;

export function offerClosing(bench) {
  const { reading, day } = bench;
  const closed = [];
  for (const block of day.blocks) {
    if (done(reading, block, "closed")) closed.push(block);
    else if (done(reading, block, "wet")) afterWet(bench, block);
    else if (reading.has("wet", block.block)) padfootStarts(bench, block);
  }
  if (!closed.length) return;
  const open = day.blocks.some((block) => block.day <= reading.number && !done(reading, block, "closed"));
  curing(bench, closed.at(-1), !open && !reading.cured);
}

const whole = (block) => place(block, stripsOf(block), block.start_m, block.end_m);

function key(bench, block, name, told) {
  bench.add(`${name} ${block.block}`, bench.say(name), bench.say("block", { block: block.block }), {
    main: true, block: block.block, start_m: block.start_m, end_m: block.end_m, ...told,
  });
}

function padfootStarts(bench, block) {
  const asked = bench.day.limits.some(({ stop }) => stop === "padfoot starts");
  if (!asked || bench.reading.has("padfoot", block.block)) return;
  key(bench, block, "padfoot_starts", {
    minute: bench.minute(block, "padfoot", 0), icon: "padfoot", machine: "padfoot",
    entries: [{ kind: "rolling", place: whole(block), payload: { rolled: "padfoot", under_way: true } }],
  });
}

function afterWet(bench, block) {
  const { reading } = bench;
  const where = whole(block);
  const rolled = (how) => [{ kind: "rolling", place: where, payload: { rolled: how } }];
  if (!done(reading, block, "walked")) {
    padfootStarts(bench, block);
    const entries = [...rolled("padfoot"), { kind: "walk-out", place: where, payload: { walked_out: true } }];
    key(bench, block, "walked_out", { minute: bench.minute(block, "padfoot"), icon: "feet", machine: "padfoot", entries });
    return;
  }
  const minute = bench.minute(block, "smooth");
  if (done(reading, block, "final")) {
    const entries = [{ kind: "closed", place: where, payload: {} }];
    key(bench, block, "closed", { minute: minute + BEFORE, icon: "closed", machine: "smooth drum", entries });
    return;
  }
  if (!done(reading, block, "trim"))
    key(bench, block, "trim", { minute: bench.minute(block, "grader"), icon: "blade", machine: "grader", entries: rolled("trim") });
  key(bench, block, "final", { minute, icon: "roller", machine: "smooth drum", entries: rolled("final") });
  bench.add(`blade chatters ${block.block}`, bench.say("chatters"), bench.say("chatters_second"), {
    minute, icon: "blade", machine: "grader", rank: 70, block: block.block,
    entries: [{ kind: "blade chatters", place: where, payload: {} }],
  });
}

function curing(bench, block, main) {
  const fields = [{ path: ["water_l"], unit: "L", label: "", typical: null, least: 0, most: LITRES_MOST }];
  bench.add("curing", bench.say("curing"), bench.say("curing_second", { block: block.block }), {
    minute: bench.minute(block, "smooth") + 2 * BEFORE, icon: "water", machine: "water truck", rank: 75, main, block: block.block,
    pad: {
      kind: "number", title: bench.say("curing_title"), where: bench.say("block", { block: block.block }), fields, photo: false, text: "",
      spot: null, not_checked: null,
    },
    entries: [{ kind: "curing", place: whole(block), payload: { method: "water" } }],
  });
}
