// The rate instruction at the curb: zone, rate, depth with its state, who fixed it and who heard; a revision shows old and new.

import { at, startPage } from "./shell.js";

const page = await startPage(() => {});
const form = at("rate");
const number = (text) => Number(text.replace(",", "."));

form.addEventListener("input", () => {
  const { zone, rate_kg_m2 } = Object.fromEntries(new FormData(form));
  const old = [...document.querySelectorAll("[data-zone]")].find((one) => one.dataset.zone === zone);
  const after = rate_kg_m2 ? page.say("rate", { rate: rate_kg_m2 }) : "";
  const before = old && page.say("rate", { rate: old.dataset.rate });
  at("becomes").textContent = after && (before ? page.say("agree_second", { before, after }) : page.say("agree_new", { after }));
});

form.addEventListener("submit", async (event) => {
  const told = Object.fromEntries(new FormData(form));
  const [rate, depth] = [number(told.rate_kg_m2), told.depth_mm ? number(told.depth_mm) : null];
  if (!page.queue) return; // without a queue the form is posted as it stands
  event.preventDefault();
  const lanes = page.day.strips.map(({ strip }) => strip);
  const half = Math.ceil(lanes.length / 2);
  const strips = { all: lanes, left: lanes.slice(0, half), right: lanes.slice(lanes.length - half) }[told.strips];
  const [start_m, end_m] = [Number(told.start_m), Number(told.end_m)];
  if (!(rate >= 0 && rate <= 120) || !(end_m > start_m) || (depth !== null && !(depth >= 50 && depth <= 1500))) {
    page.tell(page.say("cannot_be"));
    return;
  }
  const payload = { zone: told.zone, rate_kg_m2: rate, said_by: told.said_by, heard_by: told.heard_by };
  if (depth !== null && told.depth_state) Object.assign(payload, { depth_mm: depth, depth_state: told.depth_state });
  await page.enter([{ kind: "rate instruction", place: { start_m, end_m, strips }, payload }]);
  form.reset();
  page.tell(page.say("agreed_here"));
});
