// What every phone page shares: the day that came with it, the queue, entries of this phone and of the others, counts always in view.

import { deviceTime, newId } from "./entry.js";
import { entered } from "./entering.js";
import { startPhone } from "./register.js";
import { say } from "./words.js";

const OTHERS = 20_000; // milliseconds between looks at what the others entered, while somebody looks

export const at = (id) => document.getElementById(id);
export const now = () => deviceTime(Date.now());

/** Element with a class, text and children; nothing is ever parsed as HTML. */
export function made(tag, kind = "", text = "", ...children) {
  const element = document.createElement(tag);
  if (kind) element.className = kind;
  if (text) element.textContent = text;
  element.append(...children);
  return element;
}

export function icon(name, kind = "icon") {
  const svg = document.createElementNS("http://www.w3.org/2000/svg", "svg");
  const use = document.createElementNS("http://www.w3.org/2000/svg", "use");
  use.setAttribute("href", `#i-${name}`);
  svg.setAttribute("class", kind);
  svg.setAttribute("aria-hidden", "true");
  svg.append(use);
  return svg;
}

/** Shrink a figure until it fits beside its neighbours; figures are read from two metres, so that none is ever cut. */
export function fit(element) {
  element.style.fontSize = "";
  const room = element.parentElement.clientWidth;
  const wanted = [...element.parentElement.children].reduce((sum, one) => sum + one.scrollWidth, 0);
  if (wanted <= room) return;
  const size = parseFloat(getComputedStyle(element).fontSize);
  element.style.fontSize = `${Math.floor(size * ((element.scrollWidth - (wanted - room) - 8) / element.scrollWidth))}px`;
}

/** A key: word, second line, icon. */
export function key(word, second = "", { name = "", kind = "" } = {}) {
  const button = made("button", `key ${kind}`);
  button.type = "button";
  if (name) button.append(icon(name));
  button.append(made("span", "word", word), " ", made("span", "second", second));
  return button;
}

/** Start a page; `render(page)` draws it, and again whenever an entry was made or came. */
export async function startPage(render) {
  const told = JSON.parse(at("day").textContent);
  const { day } = told;
  const page = { ...told, w: day.words, own: [], queue: null, say: (name, more) => say(day.words, name, more) };
  let drawing = null;

  page.all = () => {
    const own = page.own.filter(({ state }) => state !== "refused").map(({ entry }) => entry);
    const there = new Set(page.entries.map(({ id }) => id));
    return [...page.entries, ...own.filter(({ id }) => !there.has(id))];
  };
  page.draw = async () => {
    if (page.queue) page.own = await page.queue.entries();
    await render(page);
  };
  page.tell = (text) => {
    at("told").textContent = text;
    at("told").hidden = !text;
  };
  page.enter = (ready, photo = null) => enter(page, ready, photo);

  const onChange = (counts) => {
    showCounts(page, counts);
    drawing = (drawing ?? Promise.resolve()).then(page.draw, page.draw);
  };
  nightKey();
  await render(page);
  try {
    const { queue } = await startPhone({ street: day.street, pages: told.pages, onChange });
    page.queue = queue;
    showCounts(page, await queue.counts());
  } catch {
    page.tell(page.say("not_kept"));
  }
  await page.draw();
  setInterval(() => document.visibilityState === "visible" && others(page), OTHERS);
  document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && others(page));
  others(page);
  return page;
}

/** Enter what is ready; resolves when the disk has it. */
async function enter(page, ready, photo) {
  const { day, role, name } = page;
  const made_ = entered(day, page.all(), ready, { now: now(), role, device: page.queue.device, newId: () => newId(), photo });
  try {
    for (const entry of made_) await page.queue.add(name ? { ...entry, name } : entry);
    page.tell("");
  } catch (error) {
    page.tell(page.say(error?.code === "full" ? "phone_full" : "not_kept"));
    throw error;
  }
  navigator.vibrate?.(40);
  return made_;
}

function showCounts(page, { here, sent, refused, oldestUnsentDays, why }) {
  at("here").textContent = page.say("here", { n: here });
  at("sent").textContent = page.say("sent", { n: sent }) + (refused ? ` · ${page.say("refused", { n: refused })}` : "");
  if (oldestUnsentDays > 0) page.tell(page.say("unsent_days", { n: oldestUnsentDays }));
  else if (why === "not let in") page.tell(page.say("why_not let in"));
}

/** What others entered meanwhile. */
async function others(page) {
  try {
    const answer = await fetch(`/api/streets/${page.day.street}/entries?since=${page.last}`, { cache: "no-store" });
    if (!answer.ok) return;
    const { entries, last } = await answer.json();
    if (!entries.length) return;
    page.entries.push(...entries.map(({ entry }) => entry));
    page.last = last;
    await page.draw();
  } catch {
    // no signal: what is here is enough
  }
}

function nightKey() {
  const button = at("night");
  if (!button) return;
  const dark = () => {
    const { night } = document.documentElement.dataset;
    return night ? night === "yes" : matchMedia("(prefers-color-scheme: dark)").matches;
  };
  button.addEventListener("click", () => {
    const chosen = dark() ? "no" : "yes";
    document.documentElement.dataset.night = chosen;
    localStorage.setItem("hardpan-night", chosen);
  });
}
