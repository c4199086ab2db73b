// Words and numbers of the phone: phrases come with the day, rounding is that of compare/taps_words.py.

const THIN = "\u2009";

/** Phrase of a key with what it tells filled in. */
export function say(words, key, told = {}) {
  let text = words[key];
  for (const [name, value] of Object.entries(told)) text = text.split(`{${name}}`).join(String(value));
  return text;
}

/** Number with thin spaces between thousands, halves rounded up; trailing zeros of decimals are left out. */
export function amount(value, decimals = 0, point = ".") {
  const scale = 10 ** decimals;
  const scaled = Math.floor(Math.abs(value) * scale + 0.5);
  const whole = Math.floor(scaled / scale);
  const rest = scaled - whole * scale;
  const grouped = String(whole).replace(/\B(?=(\d{3})+$)/g, THIN);
  const fraction = decimals ? String(rest).padStart(decimals, "0").replace(/0+$/, "") : "";
  return (value < 0 && scaled ? "-" : "") + grouped + (fraction ? point + fraction : "");
}

/** Elapsed time: `2 h 27`, `45 min`. */
export function elapsed(words, minutes) {
  const whole = Math.floor(Math.max(minutes, 0) + 0.5);
  if (whole < 60) return say(words, "minutes", { m: whole });
  return say(words, "hours", { h: Math.floor(whole / 60), mm: String(whole % 60).padStart(2, "0") });
}

/** Time of day from minutes after midnight; past midnight it starts again. */
export function clock(minute) {
  const whole = (((Math.floor(minute + 0.5) % 1440) + 1440) % 1440);
  return `${String(Math.floor(whole / 60)).padStart(2, "0")}:${String(whole % 60).padStart(2, "0")}`;
}
