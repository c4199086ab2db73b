// The small strip map: strips across, stations along, what is done in hatches, "now" in straw, run-outs as crosses.

import { left, stretches, stripsOf } from "./bench.js";
import { Reading } from "./reading.js";

const SPACE = "http://www.w3.org/2000/svg";
const [WIDTH, ROW, HEAD] = [358, 19, 30];
const STAGES = ["closed", "final", "walked", "wet", "dry 3", "dry 2", "dry 1", "spread"];
const PATTERNS = {
  spread: { size: [10, 10], dots: [[2, 2], [7, 7]] },
  "dry 1": { size: [20, 20], path: "M4 0v20" },
  "dry 2": { size: [20, 20], path: "M4 0v20M9 0v20" },
  "dry 3": { size: [20, 20], path: "M4 0v20M9 0v20M14 0v20" },
  wet: { size: [16, 9], path: "M0 5q4-5 8 0t8 0" },
  walked: { size: [12, 12], path: "M2 2h5v5h-5z", full: true },
  final: { size: [8, 6], path: "M0 3h8" },
};

export function drawn(tag, told, ...children) {
  const element = document.createElementNS(SPACE, tag);
  for (const [name, value] of Object.entries(told)) element.setAttribute(name, value);
  element.append(...children);
  return element;
}

/** Map of the block of an offer; `labels` gives words that stand in a strip in place of its hatch. */
export function drawMap(page, entries, now, first, { labels = () => "", tall = false } = {}) {
  const { day } = page;
  const reading = new Reading(day, entries, now);
  const block = day.blocks.find(({ block: number }) => number === first?.block) ?? day.blocks.find((one) => open(reading, one)) ?? day.blocks.at(-1);
  const strips = day.strips.map(({ strip }) => strip);
  const [row, from] = tall ? [22, 24] : [ROW, 10 * page.say("strip", { strip: day.strips.length }).length];
  const length = block.end_m - block.start_m;
  const [low, high] = [Math.max(block.start_m - 0.25 * length, day.first_m), Math.min(block.end_m + 0.25 * length, day.last_m)];
  const x = (station) => from + ((station - low) / (high - low)) * (WIDTH - from);
  const y = (strip) => HEAD + strips.indexOf(strip) * row;
  const bottom = HEAD + strips.length * row;
  const svg = drawn("svg", { viewBox: `0 0 ${WIDTH} ${bottom + 4}`, "font-size": 16, fill: "none", stroke: "currentColor" });
  svg.append(drawn("defs", {}, ...Object.entries(PATTERNS).map(pattern)));
  for (const { strip, start_m, end_m } of blocksParts(day, low, high))
    for (const one of done(reading, strip, Math.max(start_m, low), Math.min(end_m, high))) svg.append(...ground(one, { x, y: y(strip), row, words: labels(reading, one, strip) }));
  if (first?.strip && first.start_m !== null) {
    const box = { x: x(Math.max(first.start_m, low)), y: y(first.strip), width: x(Math.min(first.end_m, high)) - x(Math.max(first.start_m, low)), height: row };
    svg.append(drawn("rect", { ...box, fill: "var(--now)", "stroke-width": 3 }));
    if (tall) svg.append(arrow(box));
  }
  for (const strip of strips) {
    const heavy = strip === first?.strip ? 700 : 400;
    svg.append(drawn("text", { x: 0, y: y(strip) + row - 4, fill: "currentColor", stroke: "none", "font-weight": heavy }, tall ? String(strip) : page.say("strip", { strip })));
    svg.append(drawn("path", { d: `M${from} ${y(strip)}H${WIDTH}`, "stroke-width": strip === strips[0] ? 3 : 1 }));
  }
  svg.append(drawn("path", { d: `M${from} ${bottom}H${WIDTH}`, "stroke-width": 3 }));
  for (const edge of [block.start_m, block.end_m]) svg.append(drawn("path", { d: `M${x(edge)} ${HEAD}V${bottom}`, "stroke-width": 2 }));
  svg.append(...(tall ? [] : crosses(reading, first, { x, y, row, low, high })), ...laths(day, { x, low, high, from }));
  return svg;
}

const open = (reading, block) => stripsOf(block).some((strip) => left(reading, "closed", strip, stretches(block, strip)).length);

const blocksParts = (day, low, high) => day.blocks.flatMap(({ parts }) => parts).filter(({ start_m, end_m }) => end_m > low && start_m < high);

function pattern([name, { size, path, dots, full }]) {
  const inside = dots
    ? dots.map(([cx, cy]) => drawn("circle", { cx, cy, r: 1.3, fill: "currentColor", stroke: "none" }))
    : [drawn("path", { d: path, fill: full ? "currentColor" : "none", stroke: full ? "none" : "currentColor", "stroke-width": 1.6 })];
  const [width, height] = size;
  return drawn("pattern", { id: `p-${name.replace(" ", "")}`, width, height, patternUnits: "userSpaceOnUse" }, ...inside);
}

/** Pieces of a stretch by the furthest work that is done there. */
function done(reading, strip, start, end) {
  const found = [];
  let rest = [[start, end]];
  for (const stage of STAGES) {
    const after = rest.flatMap(([low, high]) => left(reading, stage, strip, [[low, high]]));
    for (const [low, high] of rest) for (const span of complement(after, low, high)) found.push({ stage, start: span[0], end: span[1] });
    rest = after;
  }
  return found;
}

function complement(gaps, low, high) {
  const found = [];
  let from = low;
  for (const [start, end] of gaps.filter(([start, end]) => end > low && start < high)) {
    if (start > from) found.push([from, start]);
    from = end;
  }
  if (high > from) found.push([from, high]);
  return found;
}

function ground({ stage, start, end }, { x, y, row, words }) {
  const box = { x: x(start), y, width: x(end) - x(start), height: row, stroke: "none" };
  const solid = stage === "closed" || words;
  const drawing = [drawn("rect", { ...box, fill: solid ? "var(--done)" : `url(#p-${stage.replace(" ", "")})` })];
  if (words && box.width > 100)
    drawing.push(drawn("text", { x: box.x + box.width / 2, y: y + row - 6, "text-anchor": "middle", fill: "var(--on-done)", stroke: "none", "font-weight": 600 }, words));
  return drawing;
}

function arrow({ x, y, width, height }) {
  const [from, to, middle] = [x + 10, x + width - 10, y + height / 2];
  return drawn("path", { d: `M${from} ${middle}H${to}m-10 -6 10 6-10 6`, stroke: "var(--on-now)", "stroke-width": 3 });
}

/** Run-outs: solid where the hopper ran out, hollow where it will. */
function crosses(reading, first, { x, y, row, low, high }) {
  const happened = reading.events.filter(({ kind, start_m, strips }) => kind === "run-out" && start_m !== null && strips.length === 1);
  const spots = happened.map(({ start_m, strips }) => ({ station: start_m, strip: strips[0], solid: true }));
  const due = first?.key.startsWith("run-out") ? first.pad.station_m : null;
  if (due !== null) spots.push({ station: due, strip: first.strip, solid: false });
  return spots.filter(({ station }) => station >= low && station <= high).flatMap(({ station, strip, solid }) => {
    const [cx, cy] = [x(station), y(strip) + row / 2];
    const path = `M${cx - 8} ${cy - 8}l16 16M${cx + 8} ${cy - 8}l-16 16`;
    const outline = drawn("path", { d: path, "stroke-width": 9, stroke: "var(--ground)" });
    const ink = drawn("path", { d: path, "stroke-width": 6 });
    return solid ? [outline, ink] : [outline, ink, drawn("path", { d: path, "stroke-width": 2.5, stroke: "var(--ground)" })];
  });
}

/** Landmarks as laths, as many as fit. */
function laths(day, { x, low, high, from }) {
  let free = from;
  return day.landmarks.filter(({ station_m }) => station_m >= low && station_m <= high).flatMap(({ name, station_m }) => {
    const width = 9 * name.length + 12;
    const start = Math.min(Math.max(x(station_m) - width / 2, from), WIDTH - width - 1);
    if (start < free) return [];
    free = start + width + 6;
    const tip = x(station_m);
    const head = drawn("path", { d: `M${start} 1h${width}v20L${tip + 4} 22l-4 6-4-6L${start} 21z`, "stroke-width": 2, fill: "var(--ground)" });
    const words = drawn("text", { x: start + width / 2, y: 17, "text-anchor": "middle", fill: "currentColor", stroke: "none", "font-weight": 600 }, name);
    return [head, words];
  });
}
