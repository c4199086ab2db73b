// Answers of the phone's scripts to the cases on standard input, one JSON line each; run by test_taps_shared.py.

import { createInterface } from "node:readline";
import { pathToFileURL } from "node:url";

const [, , folder] = process.argv;
const load = (name) => import(pathToFileURL(`${folder}/${name}.js`).href);
const [{ offers }, { look }, { rows }, { doubt, entered, filled }, { amount }] = await Promise.all(
  ["offers", "look", "rows", "entering", "words"].map(load),
);
const days = new Map();

for await (const line of createInterface({ input: process.stdin })) {
  const told = JSON.parse(line);
  if (told.name) {
    days.set(told.name, told.day);
    continue;
  }
  if (told.doubt) {
    const [value, likely] = told.doubt;
    console.log(JSON.stringify({ doubt: doubt(value, likely), amounts: [0, 1, 2, 3].map((decimals) => amount(value, decimals, ",")) }));
    continue;
  }
  const { day: name, entries, now, device, taps } = told;
  const day = days.get(name);
  const found = offers(day, entries, { now, device });
  let count = 0;
  const newId = () => `id ${(count += 1)}`;
  const made = taps.map(({ offer, answers, photo }) =>
    entered(day, entries, filled(found[offer], answers), { now, role: "operator", device, newId, photo }),
  );
  console.log(JSON.stringify({ offers: found, look: look(day, entries, { now }), rows: rows(day, entries, { now }), made }));
}
