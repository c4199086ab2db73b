// The slow drive: the driver drives, another taps when the ground changes, at a landmark or by steps of ten past it.

import { show } from "./bench.js";
import { told as toldOf } from "./events.js";
import { drawn } from "./map.js";
import { at, key, made, startPage } from "./shell.js";

const WORDS = ["nothing", "shows", "ruts", "sinks"];
const SECONDS = { nothing: "nothing_second", shows: "shows_second", ruts: "rut_ruts_second", sinks: "sinks_second" };
const WHEELS = {
  nothing: "M5 45h100M55 45a16 16 0 1 1 .1 0",
  shows: "M5 42h34l3 5q13 6 26 0l3-5h34M55 47a16 16 0 1 1 .1 0",
  ruts: "M5 38h34v8q16 14 32 0v-8h34M55 51a16 16 0 1 1 .1 0",
  sinks: "M5 30h34v18q16 20 32 0V30h34M55 57a16 16 0 1 1 .1 0",
  bounces: "M5 48q18 0 28-10 8 14 22 14t22-14q10 10 28 10M55 50a16 16 0 1 1 .1 0M18 22V6m-6 6 6-6 6 6M92 22V6m-6 6 6-6 6 6",
};
const LEAST_APART = 25; // metres: of landmarks that stand closer a rider passes some without a tap
let state = null; // what stands now: {side, strips, from, word, bounces, at, next}
const before = [];

const page = await startPage(render);
const kept = localStorage.getItem(`hardpan-drive-${page.day.street}`);
if (kept) state = JSON.parse(kept);
render(page);

/** Landmarks to tap at: of the side whose stand farthest apart, as crews count poles; the end is the last. */
function marks({ day }) {
  const sides = ["left", "right"].map((side) => day.landmarks.filter((one) => one.side === side)).filter((one) => one.length > 1);
  const apart = (some) => Math.min(...some.slice(1).map(({ station_m }, place) => station_m - some[place].station_m));
  const [best] = sides.sort((one, other) => apart(other) - apart(one));
  const found = [];
  for (const one of best ?? day.landmarks) if (one.station_m - (found.at(-1)?.station_m ?? -Infinity) >= LEAST_APART * day.unit_m) found.push(one);
  return [...found.filter(({ station_m }) => station_m > day.first_m), { name: show(day, day.last_m), station_m: day.last_m }];
}

function lanes({ day }) {
  const strips = day.strips.map(({ strip }) => strip);
  const half = Math.ceil(strips.length / 2);
  return strips.length < 2 ? { left: strips } : { left: strips.slice(0, half), right: strips.slice(strips.length - half) };
}

/** One tap: what it leads to, and the entry of the stretch that it ends; all of it can be taken back. */
async function tap(next, ends = null) {
  const one = { state, ids: [] };
  before.push(one);
  if (ends !== null && state?.word && ends > state.from) {
    const { from, word, bounces, strips } = state;
    const place = { start_m: from, end_m: ends, strips };
    const entries = await page.enter([{ kind: "slow drive", place, payload: bounces ? { word, bounces } : { word } }]);
    one.ids = entries.map(({ id }) => id);
  }
  stand(next);
}

function stand(next) {
  const name = `hardpan-drive-${page.day.street}`;
  state = next;
  if (state) localStorage.setItem(name, JSON.stringify(state));
  else localStorage.removeItem(name);
  return render(page);
}

async function undo() {
  const last = before.pop();
  if (!last) return;
  if (last.ids.length) await page.enter(last.ids.map((id) => ({ kind: "withdrawal", place: null, payload: {}, corrects: id })));
  stand(last.state);
}

/** The ground changes here; a word that is mended on the spot ends no stretch. */
const changed = (word, bounces) => tap({ ...state, from: state.at, word, bounces }, state.at);

async function passed(mark) {
  const last = mark.station_m === page.day.last_m;
  await tap(last ? null : { ...state, at: mark.station_m, next: state.next + 1 }, last ? mark.station_m : null);
  if (last) await says();
}

function render(told) {
  const { w, say, day } = told;
  const keys = [];
  at("side").textContent = state ? say("slow_drive_side", { side: w[state.side] }) : w.which_lane;
  at("lane").replaceChildren(lane(told));
  at("lane").setAttribute("aria-label", at("side").textContent);
  if (!state)
    for (const [side, strips] of Object.entries(lanes(told))) {
      const button = key(w[side], say("strip", { strip: strips.join(", ") }), { kind: "wide" });
      const start = { side, strips, from: day.first_m, word: "", bounces: false, at: day.first_m, next: 0 };
      button.addEventListener("click", () => tap(start));
      keys.push(button);
    }
  else keys.push(...driving(told));
  at("keys").replaceChildren(...keys);
}

function driving(told) {
  const { w, say, day } = told;
  const all = marks(told);
  const mark = all[state.next];
  const pass = key(say("at_mark", { name: mark.name }), mark.station_m === day.last_m ? w.at_end_second : show(day, mark.station_m));
  pass.addEventListener("click", () => passed(mark));
  const on = key(`+10 ${day.unit}`, show(day, Math.min(state.at + 10 * day.unit_m, mark.station_m)));
  on.addEventListener("click", () => tap({ ...state, at: Math.min(state.at + 10 * day.unit_m, mark.station_m) }));
  const words = WORDS.map((word) => {
    const button = wordKey(w[word === "ruts" ? "rut_ruts" : word], w[SECONDS[word]], word, state.word === word);
    button.addEventListener("click", () => changed(word, false));
    return button;
  });
  const bounces = wordKey(w.bounces, w.bounces_second, "bounces", state.bounces, "");
  bounces.disabled = !state.word;
  bounces.addEventListener("click", () => state.word && changed(state.word, true));
  const back = key(w.undo, "");
  back.addEventListener("click", undo);
  const heading = made("p", "changed wide", state.word ? w.here_it : w.start_drive_second);
  return state.word ? [pass, on, heading, ...words, bounces, back] : [heading, ...words, back];
}

function wordKey(word, second, wheel, chosen, kind = "wide") {
  const button = key(word, second, { kind: `${kind}${chosen ? " chosen" : ""}` });
  if (!kind) return button;
  const svg = drawn("svg", { class: "wheel", viewBox: "0 0 110 64", "aria-hidden": "true" }, drawn("path", { d: WHEELS[wheel] }));
  button.append(svg);
  return button;
}

/** The lane as it was driven: a line a word; the word stands under it. */
function lane(told) {
  const { day, w } = told;
  const x = (station) => 4 + ((station - day.first_m) / (day.last_m - day.first_m)) * 350;
  const svg = drawn("svg", { viewBox: "0 0 358 84", "font-size": 16, fill: "none", stroke: "currentColor", "stroke-width": 2 });
  const side = state?.strips ?? lanes(told).left;
  const stretches = toldOf(day, told.all()).filter(({ kind, strips, start_m }) => kind === "slow drive" && start_m !== null && strips.includes(side[0]));
  const shown = stretches.map(({ start_m, end_m, payload }) => ({ start: start_m, end: end_m, ...payload }));
  if (state?.word) shown.push({ start: state.from, end: state.at, word: state.word, bounces: state.bounces, now: true });
  svg.append(drawn("rect", { x: 3, y: 26, width: 352, height: 32, "stroke-width": 3 }));
  let free = 0;
  for (const { start, end, word, bounces } of shown) {
    svg.append(drawn("path", { d: line(word, x(start), x(end)), "stroke-width": word === "nothing" ? 2 : 3 }));
    if (bounces) svg.append(drawn("path", { d: `M${x(start)} 30q4-4 8 0t8 0`, "stroke-width": 1.5 }));
    svg.append(drawn("path", { d: `M${x(start)} 26v32`, "stroke-width": 3 }));
    if (x(start) < free) continue;
    const text = w[word === "ruts" ? "rut_ruts" : word];
    free = x(start) + 9.5 * text.length;
    svg.append(drawn("text", { x: Math.min(x(start), 354 - 9 * text.length), y: 76, fill: "currentColor", stroke: "none" }, text));
  }
  if (state) svg.append(drawn("path", { d: `M${x(state.at)} 24v36l10-18z`, fill: "currentColor" }));
  for (const [number, { station_m }] of marks(told).slice(0, -1).entries()) {
    const passedBy = state && station_m <= state.at;
    const tip = x(station_m);
    svg.append(drawn("path", { d: `M${tip - 9} 1h18v15l-9 8-9-8z`, fill: passedBy ? "currentColor" : "none" }));
    svg.append(drawn("text", { x: tip, y: 14, "text-anchor": "middle", "font-size": 14, stroke: "none", fill: passedBy ? "var(--ground)" : "currentColor" }, String(number + 1)));
  }
  return svg;
}

function line(word, start, end) {
  const wide = Math.max(end - start, 0);
  if (word === "nothing") return `M${start} 42h${wide}`;
  if (word === "ruts") return `M${start} 37h${wide}M${start} 47h${wide}`;
  const count = Math.floor(wide / 12);
  const step = word === "shows" ? "q6 7 12 0" : "l6 9 6-9";
  return `M${start} 40${step.repeat(count)}`;
}

/** With signal the site lays the drive over what it knew and plans anew; without, the phone says that it will be told. */
async function says() {
  try {
    await page.queue?.send();
    const counts = await page.queue?.counts();
    if (counts?.here) throw new Error("not sent");
    const answer = await fetch(location.pathname, { cache: "no-store" });
    const fresh = new DOMParser().parseFromString(await answer.text(), "text/html").getElementById("says");
    at("says").replaceChildren(...fresh.childNodes);
  } catch {
    at("says").replaceChildren(made("p", "zone", page.w.knows_later));
  }
}
