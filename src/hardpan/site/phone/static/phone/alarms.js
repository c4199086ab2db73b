// Alarms of the clocks: 15 minutes before a written limit is over, and when it is; only while the page is open.

const BUZZ = { 15: [300, 150, 300], 0: [600, 200, 600, 200, 600] };
const told = new Set();

/** Buzz, flash and say what is due and was not told yet. */
export function alarm(page, clocks) {
  for (const { block, event, started, alarm: due } of clocks) {
    const name = `${block} ${event} ${started} ${due}`;
    if (due < 0 || told.has(name)) continue;
    told.add(name);
    navigator.vibrate?.(BUZZ[due]);
    document.body.classList.add("flash");
    setTimeout(() => document.body.classList.remove("flash"), 2_500);
    page.tell(page.say(`left_${due}`, { event: page.w[event], block }));
  }
}
