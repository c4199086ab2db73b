// From two metres: the next strip, by when, the water, how low. Nothing to tap but the way back and the night.

import { alarm } from "./alarms.js";
import { look } from "./look.js";
import { drawMap, drawn } from "./map.js";
import { at, fit, icon, made, now, startPage } from "./shell.js";

const DONE = { closed: "closed_done", final: "rolled_done", walked: "rolled_done", wet: "wet_done", "dry 1": "dry_done", "dry 2": "dry_done", "dry 3": "dry_done", spread: "spread_done" };
const KINDS = { closed: "closed", final: "rolling", walked: "walk-out", wet: "mixing pass", "dry 1": "mixing pass", "dry 2": "mixing pass", "dry 3": "mixing pass", spread: "spread run" };

const page = await startPage(render);
setInterval(() => render(page), 15_000);
addEventListener("resize", () => render(page));

function render(told) {
  const [time, entries] = [now(), told.all()];
  const seen = look(told.day, entries, { now: time });
  const { w } = told;
  const set = (id, text) => (at(id).textContent = text);
  at("map").replaceChildren(drawMap(told, entries, time, seen.first, { labels: (...told_) => label(told, seen.first, ...told_), tall: true }));
  at("map").setAttribute("aria-label", told.say("street_map", { block: seen.block || 1 }));
  set("strip", seen.strip || "");
  set("what", seen.what);
  set("from", seen.start ? `${told.say("from_place", { start: seen.start })} ${told.say("to_station", { end: seen.end })}` : "");
  set("by-word", seen.late ? w.was_due : w.by_word);
  at("by-word").classList.toggle("due", seen.late);
  set("by", seen.by);
  at("by").classList.toggle("late", seen.late);
  set("by-words", seen.by_words);
  at("clock").replaceChildren(...bar(told, seen));
  at("water").dataset.level = seen.level;
  at("water").hidden = !seen.setting;
  set("setting", seen.setting);
  at("setting").classList.toggle("long", seen.setting.length > 4);
  set("water-second", [seen.water, seen.water_second].filter(Boolean).join(" \u00b7 "));
  set("low", seen.low_mm);
  at("low-basis").replaceChildren(...basis(told, seen));
  for (const id of ["strip", "by", "setting", "low"]) fit(at(id));
  alarm(told, seen.clocks);
}

/** Words in a strip that is done as far as the one before "now". */
function label(told, first, reading, { stage, start, end }, strip) {
  if (!first || strip === first.strip || !first.key.startsWith(stage.split(" ")[0]) || start < first.start_m - 1e-6 || end > first.end_m + 1e-6) return "";
  const event = reading.events.findLast(({ kind, strips, start_m, end_m }) => kind === KINDS[stage] && strips.includes(strip) && start_m <= start && end_m >= end - 1e-6);
  return event ? told.say(DONE[stage], { clock: event.clock, number: stage.slice(4) }) : "";
}

/** The clock as a bar: used in solid ink, to the planned end dashed, then the fence of a written limit. */
function bar(told, { clocks, block }) {
  const own = clocks.filter((one) => one.block === block);
  if (!own.length) return [];
  const [one] = own.sort((a, b) => (a.left_min ?? 1e9) - (b.left_min ?? 1e9));
  const whole = Math.max(one.within_min ?? 0, one.planned_min, one.elapsed_min, 1);
  const svg = drawn("svg", { viewBox: "0 0 358 18", width: "100%", fill: "currentColor", "aria-hidden": "true" });
  const [used, planned] = [one.elapsed_min, one.planned_min].map((minutes) => (358 * Math.min(minutes, whole)) / whole);
  svg.append(drawn("path", { d: `M0 1.5H${planned}M0 16.5H${planned}M${planned} 0v18`, stroke: "currentColor", "stroke-width": 2.5, "stroke-dasharray": "6 5" }));
  svg.append(drawn("rect", { x: 0, y: 0, width: used, height: 18 }));
  if (one.within_min !== null) svg.append(drawn("rect", { x: (358 * one.within_min) / whole - 4, y: 0, width: 4, height: 18, fill: "var(--stop)" }));
  return [svg, made("p", "ends", "", made("span", "", `${told.w[one.event]} ${one.started}`), made("b", "", one.elapsed))];
}

/** Whose figure it is: the person's first, ours beside it. */
function basis({ w, say }, { low_mm, low_basis, our_low_mm, our_low_basis }) {
  if (!low_mm) return [];
  const ours = say(our_low_basis === "default" ? "our_sum_about" : "our_sum", { mm: our_low_mm });
  const words = { stated: `${w.crews_figure}; ${ours}`, measured: w.measured_figure, default: `${w.nobody_said}; ${ours}` }[low_basis];
  return [icon("lath", `icon basis-${low_basis}`), made("span", "", words)];
}
