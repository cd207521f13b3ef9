/** Pulls the herd: the first copy, then what changed since; nothing is shown before it is whole. */

import { putMeta } from "./store.js";
import { Offline, Refused } from "./wire.js";

const OUTDATED = new Set(["epoch-changed", "scope-changed", "schema-changed", "cursor-expired"]);
const PAGE = 500;
const TORN = "The first copy was cut off; it goes on where it was.";

export class Pulling {
  /** @param {import("./store.js").Store} store @param {import("./wire.js").Wire} wire @param {import("./outbox.js").Outbox} outbox */
  constructor(store, wire, outbox) {
    Object.assign(this, { store, wire, outbox });
    /** What has come so far of a first copy: its beginning, its items, and how many of them. */
    this.copy = null;
    this.oncopied = (count) => {};
  }

  /**
   * Bring the device up to date; raises Offline, Refused, Blocked, NotStored, and goes on from there next time.
   * @param {string} cursor empty for a first copy @param {import("./delivery.js").Delivery} delivery
   * @returns {Promise<{cursor: string, all: boolean, items: any[]}>} what changed, by which the shown herd is renewed
   */
  async run(cursor, delivery) {
    try {
      const began = cursor ? { cursor, all: false } : { cursor: await this.firstCopy(delivery), all: true };
      return { ...began, ...(await this.changes(began.cursor, delivery)) };
    } catch (problem) {
      if (!(problem instanceof Refused) || !OUTDATED.has(problem.word)) throw problem;
    }
    // What was captured goes first: the outbox outlives every copy.
    await delivery.runInDoubt();
    this.copy = null;
    const anew = await this.firstCopy(delivery);
    return { all: true, ...(await this.changes(anew, delivery)) };
  }

  /** @param {string} from @param {import("./delivery.js").Delivery} delivery */
  async changes(from, delivery) {
    const items = [];
    let cursor = from;
    for (let more = true; more;) {
      const page = await this.wire.get(`sync/changes/?limit=${PAGE}&cursor=${encodeURIComponent(cursor)}`);
      if (!Array.isArray(page.items) || !page.cursor) throw new Offline("The server's answer does not fit.");
      delivery.learn(page);
      items.push(...page.items);
      [cursor, more] = [page.cursor, Boolean(page.more)];
    }
    await this.install(items, cursor, { anew: false, serverTime: delivery.serverTime });
    return { cursor, items };
  }

  /** Take the first copy, from where an earlier one was cut off. @param {import("./delivery.js").Delivery} delivery */
  async firstCopy(delivery) {
    const resume = this.copy?.after ? `?after=${this.copy.after}&cursor=${this.copy.start.cursor}` : "";
    const lines = this.wire.lines(`sync/snapshot/${resume}`);
    const start = read((await lines.next()).value).start;
    if (!resume || start.cursor !== this.copy.start.cursor) {
      if (resume) {
        this.copy = null;
        throw new Offline("The first copy can't go on where it was cut off; it begins anew.");
      }
      this.copy = { start, items: [], after: "" };
    }
    await this.take(lines);
    const { start: whole, items } = this.copy;
    this.copy = null;
    await this.install(items, whole.cursor, { anew: true, serverTime: delivery.serverTime });
    delivery.epoch = String(whole.epoch);
    await delivery.run();
    return whole.cursor;
  }

  /** Take items until the end has come with the right count. @param {AsyncGenerator<string>} lines */
  async take(lines) {
    let count = 0;
    for await (const line of lines) {
      const item = read(line);
      if (item.end) {
        if (item.count === count) return;
        this.copy = null;
        throw new Offline("The first copy did not come whole; it begins anew.");
      }
      count += 1;
      this.copy.items.push(item);
      if (item.kind === "animal") this.copy.after = item.id;
      if (count % 500 === 0) this.oncopied(this.copy.items.length);
    }
    throw new Offline(TORN);
  }

  /** Store what came and the cursor that stands for it in one transaction; it shows what was acknowledged before. */
  async install(items, cursor, { anew, serverTime }) {
    const shown = [...this.outbox.rows.values()].filter(
      (row) => !row.pulled && (row.status === "applied" || row.status === "merged"),
    );
    await this.store.write(["animals", "lists", "meta", "operations"], (of) => {
      if (anew) {
        of("animals").clear();
        of("lists").clear();
      }
      for (const item of items) putItem(of, item);
      putMeta(of, { cursor, ...(serverTime ? { server_time: serverTime } : {}) });
      // A first copy may be older than what was acknowledged while it came; what changed since always follows it.
      if (!anew) for (const row of shown) of("operations").put({ ...row, pulled: true });
    });
    if (!anew) for (const row of shown) this.outbox.note({ ...row, pulled: true });
  }
}

function putItem(of, item) {
  const name = item.kind === "animal" ? "animals" : "lists";
  if (item.state === "in") of(name).put({ ...item.card, list: item.kind });
  else of(name).delete(item.id);
}

/** @param {string | undefined} line */
function read(line) {
  try {
    return JSON.parse(line);
  } catch {
    throw new Offline(TORN);
  }
}
