// The phone's own store, in IndexedDB: what `change` gives back is on the disk.
//
// A later issue only ever adds steps, and a step only adds stores and indexes: a page of an earlier issue that is still open,
// or comes from the cache, goes on working on the newer database.

const NAME = "hardpan";
const STORES = ["entries", "kept"];

export const STEPS = [
  (database) => {
    const entries = database.createObjectStore("entries", { keyPath: "number", autoIncrement: true }); // in order of entry
    entries.createIndex("id", "id", { unique: true });
    entries.createIndex("street", "street");
    entries.createIndex("standing", ["street", "state"]);
    database.createObjectStore("kept", { keyPath: "name" });
  },
];

/** What kept something from being written; `code` is "full", "no storage" or "failed", for the page to say in words. */
export class StorageError extends Error {
  constructor(cause) {
    super(cause?.message || String(cause));
    this.name = "StorageError";
    this.cause = cause;
    this.code = cause?.name === "QuotaExceededError" ? "full" : CLOSED.has(cause?.name) ? "no storage" : "failed";
  }
}
const CLOSED = new Set(["SecurityError", "UnknownError", "InvalidStateError", "AbortError"]);

/** The request's result. */
export function ask(request) {
  return new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
}

export function openDatabase(indexedDB, steps = STEPS) {
  let connecting = null;

  function connect() {
    connecting ??= open(indexedDB, steps, () => (connecting = null)).catch((error) => {
      connecting = null;
      throw error;
    });
    return connecting;
  }

  /** Run `work(stores)` in one transaction; a connection that was lost, as phones lose them, is opened anew once. */
  async function run(mode, work) {
    try {
      return await transact(await connect(), mode, work);
    } catch (error) {
      if (!CLOSED.has(error?.name)) throw told(error);
      connecting = null;
    }
    try {
      return await transact(await connect(), mode, work);
    } catch (error) {
      throw told(error);
    }
  }

  return { look: (work) => run("readonly", work), change: (work) => run("readwrite", work) };
}

/** An error of the database as ours; one that `work` raised itself stays what it is. */
function told(error) {
  return error instanceof DOMException || CLOSED.has(error?.name) ? new StorageError(error) : error;
}

async function open(indexedDB, steps, lost) {
  if (!indexedDB) throw new DOMException("this browser keeps nothing here", "SecurityError");
  const database = await opened(indexedDB, steps, steps.length).catch((error) => {
    if (error?.name !== "VersionError") throw error;
    return opened(indexedDB, steps); // a newer page was here: its database holds all that this one needs
  });
  database.onversionchange = () => {
    database.close(); // or a newer page waits for this one; the next transaction opens it again
    lost();
  };
  database.onclose = lost;
  return database;
}

function opened(indexedDB, steps, version) {
  const request = version === undefined ? indexedDB.open(NAME) : indexedDB.open(NAME, version);
  request.onupgradeneeded = (event) => {
    for (const step of steps.slice(event.oldVersion)) step(request.result, request.transaction);
  };
  return ask(request);
}

/** Resolves after the transaction is complete, which under strict durability is after the disk has it. */
function transact(database, mode, work) {
  return new Promise((resolve, reject) => {
    const transaction = database.transaction(STORES, mode, { durability: "strict" });
    let result;
    let failure;
    transaction.oncomplete = () => resolve(result);
    transaction.onabort = () => reject(transaction.error ?? failure ?? new DOMException("", "AbortError"));
    const stores = Object.fromEntries(STORES.map((name) => [name, transaction.objectStore(name)]));
    work(stores).then(
      (value) => (result = value),
      (error) => {
        failure = error;
        try {
          transaction.abort();
        } catch {
          reject(error); // it was over already
        }
      },
    );
  });
}
