// The board of now: every half minute its parts come anew in place, so that nobody loses where they read; a page without script loads itself again.
const EVERY_MS = 30_000;
const parts = () => document.querySelectorAll("[data-part]");

async function renew() {
  if (document.hidden) return;
  let told = "";
  try {
    const answer = await fetch(location.href, { credentials: "same-origin" });
    if (answer.redirected) location.reload(); // no longer let in: the page says what to do
    if (answer.ok) told = await answer.text();
  } catch {
    // no signal: said below
  }
  document.getElementById("old").hidden = told !== "";
  if (told === "") return;
  const fresh = new DOMParser().parseFromString(told, "text/html");
  for (const part of parts()) {
    const other = fresh.querySelector(`[data-part="${part.dataset.part}"]`);
    if (other && !part.contains(document.activeElement) && other.innerHTML !== part.innerHTML) part.replaceWith(other);
  }
}

setInterval(renew, EVERY_MS);
document.addEventListener("visibilitychange", renew);
