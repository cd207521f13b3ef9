/** The device's own memory (IndexedDB): nothing is called saved before its transaction is complete on the disk. */

const NAME = "notchbook-chute";
const VERSION = 1;
const STORES = { meta: null, animals: "id", lists: "id", operations: "dseq", passes: "id", drafts: "tab", files: "id" };
export const FULL = "The storage of this device is full. What you see is NOT saved. Free some space, then keep it again.";
const GONE = "The storage of this device can't be written. What you see is NOT saved. Close the page and open it again.";

/** Nothing was stored; the message is a sentence for the operator. */
export class NotStored extends Error {
  /** @param {any} cause */
  constructor(cause) {
    super(cause?.name === "QuotaExceededError" ? FULL : GONE);
    this.isFull = cause?.name === "QuotaExceededError";
    this.cause = cause;
  }
}

/** A request as a promise. @template T @param {IDBRequest<T>} request @returns {Promise<T>} */
export function asked(request) {
  return new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
}

/** @param {IDBTransaction} transaction @returns {Promise<void>} */
function ended(transaction) {
  return new Promise((resolve, reject) => {
    transaction.oncomplete = () => resolve();
    transaction.onabort = () => reject(transaction.error ?? new DOMException("aborted", "AbortError"));
  });
}

/** @param {IDBDatabase} database */
function build(database) {
  for (const [name, keyPath] of Object.entries(STORES)) {
    if (!database.objectStoreNames.contains(name)) database.createObjectStore(name, keyPath ? { keyPath } : {});
  }
}

export class Store {
  /** @param {IDBDatabase} database */
  constructor(database) {
    this.database = database;
    /** Called when the browser has taken the storage away under us. */
    this.onlost = () => {};
    database.onclose = () => this.onlost();
    database.onversionchange = () => database.close();
  }

  /** Open it, made where it is not there. */
  static async open() {
    const request = indexedDB.open(NAME, VERSION);
    request.onupgradeneeded = () => build(request.result);
    try {
      return new Store(await asked(request));
    } catch (fault) {
      throw new NotStored(fault);
    }
  }

  /** Begin anew after the storage was taken away. */
  async reopen() {
    const fresh = await Store.open();
    this.database = fresh.database;
    this.database.onclose = () => this.onlost();
    this.database.onversionchange = () => this.database.close();
  }

  /**
   * Write in one transaction, all or nothing; resolves once it is on the disk, raises NotStored.
   * @template T
   * @param {string[]} names
   * @param {(of: (name: string) => IDBObjectStore) => Promise<T> | T} work awaits nothing but requests
   * @returns {Promise<T>}
   */
  async write(names, work) {
    let transaction;
    try {
      transaction = this.database.transaction(names, "readwrite", { durability: "strict" });
    } catch (fault) {
      throw new NotStored(fault);
    }
    const done = ended(transaction);
    done.catch(() => {});
    try {
      const found = await work((name) => transaction.objectStore(name));
      await done;
      return found;
    } catch (fault) {
      try { transaction.abort(); } catch { /* it has ended by itself */ }
      const told = transaction.error ?? fault;
      throw fault instanceof RangeError ? fault : new NotStored(told);
    }
  }

  /** All rows of a store. @param {string} name @returns {Promise<any[]>} */
  async all(name) {
    return asked(this.database.transaction(name).objectStore(name).getAll());
  }

  /** Rows by their keys; those that are not there are left out. @param {string} name @param {any[]} keys */
  async some(name, keys) {
    const rows = this.database.transaction(name).objectStore(name);
    return (await Promise.all(keys.map((key) => asked(rows.get(key))))).filter(Boolean);
  }

  /** Everything in `meta` as one object. @returns {Promise<Record<string, any>>} */
  async meta() {
    const rows = this.database.transaction("meta").objectStore("meta");
    const [keys, values] = await Promise.all([asked(rows.getAllKeys()), asked(rows.getAll())]);
    return Object.fromEntries(keys.map((key, place) => [key, values[place]]));
  }

  /** Put values into `meta`. @param {Record<string, any>} values */
  async put(values) {
    await this.write(["meta"], (of) => putMeta(of, values));
  }
}

/** Put values into `meta` within a transaction. @param {(name: string) => IDBObjectStore} of @param {Record<string, any>} values */
export function putMeta(of, values) {
  for (const [key, value] of Object.entries(values)) of("meta").put(value, key);
}
