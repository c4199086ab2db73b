// Play schedules: node simulate.js FIRST COUNT [FOLDER OF THE SCRIPTS [ENOUGH]]; prints one JSON object, exit 1 where anything was found.
// A seed plays the same schedule every time: TELL=1 node simulate.js SEED 1 tells it. After ENOUGH schedules that fail it stops.

import path from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";
import { play } from "./schedule.js";

const SCRIPTS = fileURLToPath(new URL("../../../src/hardpan/site/phone/static/phone", import.meta.url));
const [first = "0", count = "1", folder = SCRIPTS, enough = "10"] = process.argv.slice(2);
const load = (name) => import(pathToFileURL(path.resolve(folder, name)));
const scripts = { ...(await load("register.js")), ...(await load("entry.js")), ...(await load("database.js")) };
const WRONG = ["lost", "doubled", "stuck", "disordered", "changed"];

process.on("unhandledRejection", (error) => {
  if (error?.message !== "a dead tab does nothing") throw error;
});

const sum = { schedules: 0, taps: 0, here: 0, posts: 0, entries: 0, restores: 0, trace: 0 };
const wrong = Object.fromEntries(WRONG.map((name) => [name, 0]));
const failing = [];
for (let seed = Number(first); seed < Number(first) + Number(count); seed++) {
  const found = await play(seed, scripts);
  sum.schedules += 1;
  for (const name of ["taps", "here", "posts", "entries", "restores"]) sum[name] += found[name];
  sum.trace = (Math.imul(sum.trace, 31) + found.trace) >>> 0;
  for (const name of WRONG) wrong[name] += found[name];
  if (WRONG.some((name) => found[name]) || found.faults.length)
    failing.push({ seed, faults: found.faults.slice(0, 3), ...Object.fromEntries(WRONG.map((name) => [name, found[name]])) });
  if (failing.length >= Number(enough)) break;
}
console.log(JSON.stringify({ ...sum, ...wrong, failing: failing.length, seeds: failing }));
process.exitCode = failing.length ? 1 : 0;
