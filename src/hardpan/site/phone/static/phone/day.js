// The day in taps: the list on top, the strips, one first choice, and what may happen beside it.

import { alarm } from "./alarms.js";
import { filled } from "./entering.js";
import { look } from "./look.js";
import { drawMap } from "./map.js";
import { offers } from "./offers.js";
import { openPad } from "./pad.js";
import { sendPhotos } from "./photos.js";
import { rows } from "./rows.js";
import { at, icon, key, made, now, startPage } from "./shell.js";

const QUIET = 350; // milliseconds after a tap in which a trembling thumb taps nothing
const MARKS = { tick: "tick", cross: "x", ask: "ask" };
let found = [];
let quiet = 0;
let drawn = "";

const page = await startPage(render);
at("keys").addEventListener("click", tapped);
setInterval(() => clocks(page), 15_000);
addEventListener("online", () => sendPhotos(page.day.street));
sendPhotos(page.day.street).catch(() => {}); // a browser that keeps nothing has none

function render(told) {
  const [time, entries] = [now(), told.all()];
  found = offers(told.day, entries, { now: time, device: told.queue?.device ?? "" });
  const first = found.find((one) => one.first) ?? null;
  at("rows").replaceChildren(...list(told, rows(told.day, entries, { now: time })));
  const map = at("map");
  map.replaceChildren(drawMap(told, entries, time, first ?? found[0]));
  map.setAttribute("aria-label", told.say("street_map", { block: first?.block || 1 }));
  at("now").replaceChildren(...(first ? [made("span", "", first.now), made("b", "", first.figure)] : []));
  showKeys(told);
  clocks(told);
}

/** Keys are drawn anew only when others can be tapped: nothing moves away from under a thumb. */
function showKeys(told) {
  const shape = JSON.stringify(found);
  if (shape === drawn) return;
  const open = at("keys").querySelector("details")?.open && drawn;
  drawn = shape;
  at("keys").replaceChildren(...keys(told));
  if (open) at("keys").querySelector("details").open = true;
}

function clocks(told) {
  alarm(told, look(told.day, told.all(), { now: now() }).clocks);
}

function list(told, taps) {
  if (!taps.length) return [made("li", "gap", told.w.nothing_yet)];
  return taps.map(({ clock, mark, words, figure, strong }) =>
    made("li", "", "", made("time", "", clock), icon(MARKS[mark], "icon mark"), made("b", "", words), made("span", strong ? "strong" : "", figure)),
  );
}

function keyOf(offer, kind = "") {
  const plain = ["stop", "problem"].includes(offer.icon);
  const shape = `${kind}${offer.first ? " first" : ""}${offer.key === "stop" ? " stop" : ""}`;
  const button = key(offer.words, offer.second, { name: plain ? "" : offer.icon, kind: shape });
  button.dataset.key = offer.key;
  return button;
}

function keys(told) {
  const work = found.filter(({ rank }) => rank < 90);
  const beside = found.filter(({ rank }) => rank >= 90);
  const shown = work.slice(0, 2).map((one) => keyOf(one, "wide"));
  return [...shown, more(told, work.slice(2)), ...beside.map((one) => keyOf(one))];
}

/** The rest behind one key: further offers, and the ways to the other pages. */
function more(told, rest) {
  const { w, addresses } = told;
  const summary = made("summary", "key", "", made("span", "word", w.more), " ", made("span", "second", w.more_second));
  const ways = ["far", "drive", "rates", "tests", "unsent"].map((name) => {
    const way = made("a", "key", "", made("span", "word", w[name]), " ", made("span", "second", w[`${name}_second`]));
    way.href = addresses[name];
    return way;
  });
  return made("details", "more", "", summary, made("div", "keys", "", ...rest.map((one) => keyOf(one, "wide")), ...ways));
}

async function tapped(event) {
  const button = event.target.closest("[data-key]");
  if (!button) return;
  event.preventDefault();
  const offer = found.find((one) => one.key === button.dataset.key);
  if (!offer || !page.queue || event.timeStamp < quiet) return;
  quiet = event.timeStamp + QUIET;
  button.classList.add("pressed");
  if (offer.pad) openPad(page, offer, { hide: at("taps"), done: enter });
  else await enter(offer, {});
}

async function enter(offer, answers, photo = null) {
  await page.enter(filled(offer, answers), photo);
  drawn = ""; // a tap closes what was opened for it
  await page.draw();
}
