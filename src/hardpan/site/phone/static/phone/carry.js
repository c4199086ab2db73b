// A foreman carries entries from a phone that cannot send: the file that it exported is posted from a tablet that can.

import { NotTaken, postEntries } from "./sender.js";

const MOST = 50;

/**
 * Post the lines of an exported file; gives {stored, already, refused, unreadable}: two counts, the answers that refuse, the numbers
 * of lines that hold no entry. The tablet's clock says nothing of the phone's, so that none is told. Carrying twice stores once.
 */
export async function carry(text, means) {
  const outcome = { stored: 0, already: 0, refused: [], unreadable: [] };
  const entries = [];
  text.split("\n").forEach((line, place) => {
    const entry = line.trim() ? entryOf(line) : undefined;
    if (entry) entries.push(entry);
    else if (entry === null) outcome.unreadable.push(place + 1);
  });
  for (let first = 0; first < entries.length; first += MOST) {
    for (const one of await answersTo(entries.slice(first, first + MOST), means)) {
      if (one.answer === "stored") outcome.stored += 1;
      else if (one.answer === "refused") outcome.refused.push(one);
      else outcome.already += 1;
    }
  }
  return outcome;
}

/** Answers to a post; one entry that cannot be read holds up no other. */
async function answersTo(entries, means) {
  try {
    return (await postEntries(means, { entries })).answers;
  } catch (error) {
    if (!(error instanceof NotTaken)) throw error;
    const [first] = entries;
    if (entries.length === 1) return [{ id: first.id, answer: "refused", reason: error.problems }];
    const half = Math.floor(entries.length / 2);
    return [...(await answersTo(entries.slice(0, half), means)), ...(await answersTo(entries.slice(half), means))];
  }
}

/** Entry of a line, null where there is none. */
function entryOf(line) {
  try {
    const { entry } = JSON.parse(line);
    return typeof entry?.id === "string" ? entry : null;
  } catch {
    return null;
  }
}
