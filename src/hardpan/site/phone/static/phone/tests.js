// The tester's list: what is owed where, each a key with its pad; what is entered leaves the list.

import { filled } from "./entering.js";
import { openPad } from "./pad.js";
import { at, key, made, startPage } from "./shell.js";

const entered = new Set();
let drawn = -1;
const page = await startPage(render);

function render(told) {
  const open = told.owed.filter((one) => !entered.has(one.key));
  if (open.length === drawn) return;
  drawn = open.length;
  const keys = open.map((offer) => {
    const button = key(offer.words, offer.second, { name: offer.icon, kind: "wide" });
    button.addEventListener("click", () => openPad(told, offer, { hide: at("list"), done: enter }));
    return button;
  });
  at("keys").replaceChildren(...(keys.length ? keys : [made("p", "zone wide", told.w.nothing_owed)]));
}

async function enter(offer, answers, photo = null) {
  await page.enter(filled(offer, answers), photo);
  entered.add(offer.key);
  await page.draw();
}
