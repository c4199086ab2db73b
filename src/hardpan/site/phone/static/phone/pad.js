// The pad: digits of our own, comma and dot alike, the unit in the box; a strange number is asked about in place of being saved.

import { doubt } from "./entering.js";
import { takePhoto } from "./photos.js";
import { at, icon, key, made } from "./shell.js";
import { amount } from "./words.js";

const MANY = { 10: "many_10", 100: "many_100", 1000: "many_1000", 0.1: "many_01", 0.01: "many_001", 0.001: "many_0001" };
const MOST_DIGITS = 8;

/** Open the pad of an offer in place of `hide`; `done(offer, answers, photo)` enters. */
export function openPad(page, offer, { hide, done }) {
  const pad = at("pad");
  const close = () => {
    pad.hidden = true;
    pad.replaceChildren();
    hide.hidden = false;
    scrollTo(0, 0);
  };
  const finish = async (answers, photo = null) => {
    await done(offer, answers, photo);
    close();
  };
  hide.hidden = true;
  pad.hidden = false;
  const drawing = { choice: choices, where, number: numbers }[offer.pad.kind];
  drawing(page, offer, { pad, close, finish });
  pad.tabIndex = -1;
  pad.focus({ preventScroll: true });
  scrollTo(0, 0);
}

function head({ title, where: spot }, label = "") {
  return [made("h1", "", title), ...(spot ? [made("p", "where", spot)] : []), ...(label ? [made("p", "where", label)] : [])];
}

function backKey(page, close) {
  const back = key(page.w.back, page.w.back_second, { kind: "wide" });
  back.addEventListener("click", close);
  return back;
}

function choices(page, offer, { pad, close, finish }) {
  const keys = offer.pad.choices.map(({ words, second }, choice) => {
    const button = key(words, second, { kind: offer.pad.choices.length > 5 ? "" : "wide" });
    button.addEventListener("click", () => finish({ choice }));
    return button;
  });
  pad.replaceChildren(...head(offer.pad), made("div", "keys", "", ...keys, backKey(page, close)));
}

/** The spot: as it is due in one tap, else by steps of ten and one. */
function where(page, offer, { pad, close, finish }) {
  const { start_m, end_m, station_m } = offer.pad;
  const unit = page.day.unit_m;
  let spot = station_m;
  const draw = () => {
    const here = key(
      page.say(spot === station_m ? "as_due" : "at_station", { start: spot === null ? "" : shown(page, spot) }),
      "",
      { kind: "wide first", name: offer.icon },
    );
    here.addEventListener("click", () => finish({ station_m: spot }));
    const steps = [-10, 10, -1, 1].map((far) => {
      const button = key(`${far < 0 ? "\u2212" : "+"}${Math.abs(far)} ${page.day.unit}`, page.w[far < 0 ? "down" : "up"]);
      button.addEventListener("click", () => {
        spot = Math.min(Math.max((spot ?? (far < 0 ? end_m : start_m)) + far * unit, start_m), end_m);
        draw();
      });
      return button;
    });
    const unsaid = spot === null ? [made("p", "where", page.w.spot_not_said)] : [];
    pad.replaceChildren(...head(offer.pad), ...unsaid, made("div", "keys", "", ...(spot === null ? [] : [here]), ...steps, backKey(page, close)));
  };
  draw();
}

const shown = ({ day }, station) => {
  const tenths = Math.round((station / day.unit_m) * 10);
  const size = 10 ** (day.digits + 1);
  const rest = Math.round((tenths % size) / 10);
  return `${Math.floor(tenths / size)}+${String(rest).padStart(day.digits, "0")}`;
};

function numbers(page, offer, told) {
  const { fields, text, photo: pictured, spot: stepped = null } = offer.pad;
  const answers = { numbers: [], text: "" };
  let photo = null;
  let spot = null;

  const answered = (value) => {
    answers.numbers.push(value);
    if (answers.numbers.length < fields.length) ask();
    else told.finish({ ...answers, ...(spot === null ? {} : { station_m: spot }) }, photo);
  };
  const ask = () => typed(page, offer, { ...told, field: fields[answers.numbers.length], count: [answers.numbers.length + 1, fields.length], answered, extra });
  const name = () => {
    const named = (value) => {
      answers.text = value;
      ask();
    };
    typed(page, offer, { ...told, field: { text: true, unit: "", label: page.w.ticket_number }, count: [1, 1], answered: named, extra: () => [] });
  };
  const extra = () => [
    ...(text || pictured ? [made("div", "keys wide", "", ...(text ? [nameKey(page, answers.text, name)] : []), ...(pictured ? [photoKey(page, (taken) => (photo = taken), photo)] : []))] : []),
    ...(stepped === null ? [] : [spotRow(page, offer, () => spot, (to) => (spot = to))]),
  ];
  ask();
}

function nameKey(page, text, open) {
  const button = key(page.w.ticket_number, text || page.w.ticket_number_second);
  button.addEventListener("click", open);
  return button;
}

function photoKey(page, keep, photo) {
  const label = made("label", "key", "", icon("camera"), made("span", "word", page.w.photo), made("span", "second", photo ? page.w.photo_here : page.w.photo_second));
  const input = made("input", "unseen");
  Object.assign(input, { type: "file", accept: "image/*", capture: "environment" });
  input.addEventListener("change", async () => {
    keep(await takePhoto(page.day.street, input.files[0]));
    label.querySelector(".second").textContent = page.w.photo_here;
  });
  label.append(input);
  return label;
}

/** Where it was measured: not said until somebody steps there. */
function spotRow(page, offer, get, set) {
  const block = page.day.blocks.find((one) => one.block === offer.block);
  const words = made("p", "", get() === null ? page.w.spot_not_said : shown(page, get()));
  const step = (far) => {
    const button = key(far < 0 ? "\u2212" : "+");
    button.type = "button";
    button.setAttribute("aria-label", page.w[far < 0 ? "down" : "up"]);
    button.addEventListener("click", () => {
      const from = get() ?? (far < 0 ? block.end_m : block.start_m - 10 * page.day.unit_m);
      set(Math.min(Math.max(from + far * 10 * page.day.unit_m, block.start_m), block.end_m));
      words.textContent = shown(page, get());
    });
    return button;
  };
  return made("div", "spot wide", "", step(-1), words, step(1));
}

/** One number, digit by digit. */
function typed(page, offer, { pad, close, finish, field, count, answered, extra }) {
  const { point } = page.day;
  let text = "";
  const output = made("output");
  const box = made("div", "box", "", output, made("span", "pen"), made("span", "unit", field.unit));
  const below = made("div", "below");
  const [number, of] = count;
  const label = of > 1 ? `${number}/${of} ${field.label}` : field.text ? field.label : "";

  const value = () => Number(text.replace(",", "."));
  const draw = (question = null) => {
    output.textContent = text;
    output.classList.toggle("long", text.length > 5);
    below.replaceChildren(question ?? saving());
  };
  // two rows whatever is shown, so that no digit moves away from under a thumb
  const saving = () => {
    const more = number === of ? extra() : [];
    if (text) {
      const save = key(page.w.save, "", { kind: "wide first" });
      save.addEventListener("click", () => (field.text ? answered(text) : asked()));
      return made("div", "keys", "", save, ...more);
    }
    if (!offer.pad.not_checked || number > 1) return made("div", "keys", "", ...more, backKey(page, close));
    const not = key(page.w.not_checked, "", { kind: "wide", name: "ask" });
    not.addEventListener("click", () => finish({ not_checked: true }));
    return made("div", "keys", "", not, backKey(page, close));
  };
  const asked = () => {
    const question = questionOf(page, field, value(), text);
    if (!question) answered(value());
    else draw(questionBox(page, question, { mean: answered, keep: () => answered(value()), text }));
  };
  const press = (digit) => {
    if (digit === "rub") text = text.slice(0, -1);
    else if (digit === point) text += !field.text && text.includes(point) ? "" : text ? point : `0${point}`;
    else if (text.length < MOST_DIGITS) text += digit;
    draw();
  };
  const digits = made("div", "digits", "", ...["1", "2", "3", "4", "5", "6", "7", "8", "9", point, "0", "rub"].map((digit) => digitKey(page, digit, press)));
  pad.onkeydown = ({ key: pressed }) => {
    if (/^[0-9]$/.test(pressed)) press(pressed);
    else if (pressed === "." || pressed === ",") press(point);
    else if (pressed === "Backspace") press("rub");
    else if (pressed === "Enter" && text && document.activeElement === pad) field.text ? answered(text) : asked();
  };
  pad.replaceChildren(...head(offer.pad, label), box, below, digits);
  draw();
}

function digitKey(page, digit, press) {
  const button = made("button", "", digit === "rub" ? "" : digit === page.day.point ? ", ." : digit);
  button.type = "button";
  if (digit === "rub") {
    button.append(icon("rub"));
    button.setAttribute("aria-label", page.w.rub_out);
  }
  button.addEventListener("click", () => press(digit));
  return button;
}

/** What is strange about a number, in words; null where nothing is. */
function questionOf(page, field, value, text) {
  const number = (one) => amount(one, 3, page.day.point);
  if (value > field.most) {
    const far = doubt(value, field.typical);
    return { words: page.say("too_much", { value: text, bound: number(field.most) }), meant: far?.meant ?? null, keep: false };
  }
  if (value < field.least) return { words: page.say("too_little", { value: text, bound: number(field.least) }), meant: null, keep: false };
  const far = doubt(value, field.typical);
  if (!far) return null;
  const exact = Object.keys(MANY).find((times) => Math.abs(far.times / times - 1) < 0.1);
  const many = exact ? page.w[MANY[exact]] : page.say("many", { n: amount(far.times, 1, page.day.point) });
  const name = { "kg/m\u00b2": "likely_rate", kg: "likely_order" }[field.unit] ?? "likely";
  const likely = page.say(name, { likely: number(field.typical) });
  return { words: page.say("doubt", { value: text, many, likely }), meant: far.meant, keep: true };
}

function questionBox(page, { words, meant, keep }, { mean, keep: kept, text }) {
  const box = made("div", "question", "", made("p", "", words));
  const keys = made("div", "keys");
  if (meant !== null) {
    const said = meant % 1 ? amount(meant, 3, page.day.point) : `${amount(meant, 0)}${page.day.point}0`;
    box.append(made("p", "mean", page.say("did_you_mean", { meant: said })));
    const yes = key(said, page.w.yes_that, { kind: keep ? "first" : "wide first" });
    yes.addEventListener("click", () => mean(meant));
    keys.append(yes);
  }
  if (keep) {
    const still = key(text, page.w.keep_it, { kind: meant === null ? "wide" : "" });
    still.addEventListener("click", kept);
    keys.append(still);
  }
  box.append(keys);
  return box;
}
