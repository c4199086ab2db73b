// What is still on this phone: why, since when, to a file for the foreman's tablet; a foreman carries such a file on.

import { carry } from "./carry.js";
import { sendPhotos } from "./photos.js";
import { siteFetch } from "./register.js";
import { at, key, made, startPage } from "./shell.js";

const page = await startPage(render);
at("send").addEventListener("click", async () => {
  await Promise.all([page.queue?.send(), sendPhotos(page.day.street)]);
  await page.draw();
});
at("export").addEventListener("click", async () => {
  const link = made("a");
  link.href = URL.createObjectURL(await page.queue.exportFile());
  link.download = `${page.day.street}-unsent.jsonl`;
  link.click();
});
at("import")?.addEventListener("change", async ({ target }) => {
  const timers = { set: setTimeout.bind(globalThis), clear: clearTimeout.bind(globalThis) };
  const { stored, already, refused } = await carry(await target.files[0].text(), { street: page.day.street, fetch: siteFetch, timers });
  at("carried").textContent = `${page.say("sent", { n: stored + already })} \u00b7 ${page.say("refused", { n: refused.length })}`;
});

async function render(told) {
  const counts = await told.queue?.counts();
  at("why").textContent = counts?.why ? told.w[`why_${counts.why}`] : "";
  const waiting = told.own.filter(({ state }) => state !== "sent");
  at("rows").replaceChildren(...(waiting.length ? waiting.map((one) => row(told, one)) : [made("li", "gap", told.say("here", { n: 0 }))]));
}

function row(told, { entry, state, reason }) {
  const line = made("li", "", "", made("time", "", entry.happened_at.slice(11, 16)), made("b", "", entry.kind), made("span", "", told.w[`entry_${state}`]));
  if (state !== "refused") return line;
  for (const { found, do: todo } of reason ?? []) line.append(made("p", "", `${found}. ${todo}`));
  const again = key(told.w.send_again, "", { kind: "wide" });
  again.addEventListener("click", () => told.queue.again(entry.id));
  line.append(again);
  return line;
}
