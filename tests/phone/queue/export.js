// Print the file that a phone exports of three entries that it could not send, for a test that reads it as a ledger.

import { IDBFactory } from "fake-indexeddb";
import { newEntry } from "../../../src/hardpan/site/phone/static/phone/entry.js";
import { openQueue } from "../../../src/hardpan/site/phone/static/phone/queue.js";

const queue = await openQueue({ street: "kestrel-road", indexedDB: new IDBFactory(), fetch: null });
for (const note of ["first", "second\nline", "\u2603"])
  await queue.add(newEntry({ street: "kestrel-road", kind: "note", role: "operator", device: queue.device, payload: { note } }));
process.stdout.write(await (await queue.exportFile()).text());
