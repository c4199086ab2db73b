// What a phone page starts: the queue with its sender, the worker that keeps the pages, and the storage that lasts.

import { openQueue } from "./queue.js";
import { startSender } from "./sender.js";

const MARK = /(?:^|; )(?:__Host-)?hardpan-csrf=([^;]*)/;

/** The queue, and a sender that an entry nudges; `onChange` hears the counts. */
export async function startQueue({ onChange, ...options }) {
  let sender = null;
  const queue = await openQueue({
    ...options,
    onChange: (counts) => {
      onChange?.(counts);
      if (counts.here) sender?.nudge();
    },
  });
  sender = startSender({ ...options, send: queue.send });
  return { queue, sender };
}

/**
 * Start a phone page of a street. `pages` are the addresses that must open without signal. `kept` resolves to whether they will,
 * `lasting` to whether the browser promised not to clear what is here: where not, the page says how many days entries are unsent.
 */
export async function startPhone({ street, pages = [], onChange }) {
  const channel = globalThis.BroadcastChannel ? new BroadcastChannel("hardpan") : null;
  const timers = { set: setTimeout.bind(globalThis), clear: clearTimeout.bind(globalThis) };
  const { queue, sender } = await startQueue({ street, channel, timers, onChange, fetch: siteFetch });
  const look = async () => {
    if (document.visibilityState === "visible") {
      onChange?.(await queue.counts());
      await sender.wake();
    }
  };
  addEventListener("online", look);
  addEventListener("pageshow", look);
  document.addEventListener("visibilitychange", look);
  look();
  const lasting = navigator.storage?.persist?.().catch(() => false) ?? Promise.resolve(false);
  return { queue, sender, lasting, kept: keepPages(pages) };
}

/** Fetch with the mark by which the site knows its own pages. */
export async function siteFetch(url, init = {}) {
  const post = init.method === "POST";
  if (post && !mark()) await fetch(location.pathname, { cache: "no-store", signal: init.signal }); // a page brings it anew
  return fetch(url, post ? { ...init, headers: { ...init.headers, "X-CSRFToken": mark() } } : init);
}

const mark = () => document.cookie.match(MARK)?.[1] ?? "";

/** Register the worker and ask it to keep the pages; false where the browser has none, or the worker could not be had. */
async function keepPages(pages) {
  try {
    await navigator.serviceWorker.register("/worker.js", { scope: "/" });
    const { active } = await navigator.serviceWorker.ready;
    const answer = new MessageChannel();
    const done = new Promise((resolve) => (answer.port1.onmessage = ({ data }) => resolve(data === "kept")));
    active.postMessage({ keep: pages }, [answer.port2]);
    return await done;
  } catch {
    return false;
  }
}
