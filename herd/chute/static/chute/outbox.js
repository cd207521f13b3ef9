/** The outbox: operations stored before anything else happens with them, kept until long after they were answered. */

import { newId } from "./identity.js";
import { asked, putMeta } from "./store.js";

const KEPT_MS = 30 * 86_400_000;
const IN_RECORD = new Set(["applied", "merged"]);
const WAITING = new Set(["held", "review"]);
export const MOST_BYTES = 1024 * 1024 - 4096;
export const MOST_OPERATIONS = 500;

/**
 * @typedef {object} Row an operation as it lies here; `body` is what travels
 * @property {number} dseq @property {string} op_id @property {string} kind @property {string} who
 * @property {string} status unsent, taken_back, or what the server answered
 * @property {boolean} handed whether it was ever on its way @property {number} tries @property {string} epoch
 * @property {boolean} pulled whether the cards show it by now @property {any} answer @property {any} body
 * @property {string} pass @property {string} stored_at
 */

export class Outbox {
  /** @param {import("./store.js").Store} store */
  constructor(store) {
    this.store = store;
    /** @type {Map<number, Row>} */
    this.rows = new Map();
    /** @type {Map<string, Set<number>>} */
    this.byWho = new Map();
    /** @type {Map<string, string>} */
    this.aliases = new Map();
    /** @type {Set<string>} */
    this.changed = new Set();
  }

  /** Read all that is stored. */
  async load() {
    for (const row of await this.store.all("operations")) this.note(row);
  }

  /** Whose operations changed since this was last asked. @returns {{who: string}[]} */
  takeChanged() {
    const found = [...this.changed].map((who) => ({ who }));
    this.changed.clear();
    return found;
  }

  /** @param {Row} row */
  note(row) {
    const known = this.rows.get(row.dseq);
    if (known?.status !== row.status || known?.pulled !== row.pulled) this.changed.add(row.who);
    this.rows.set(row.dseq, row);
    if (!this.byWho.has(row.who)) this.byWho.set(row.who, new Set());
    if (!known) this.byWho.get(row.who).add(row.dseq);
    const ours = row.kind === "animal.register" ? row.body.subject.animal : "";
    if (ours && row.answer?.animal && row.answer.animal !== ours) this.aliases.set(ours, row.answer.animal);
  }

  /**
   * Store operations with the pass that they belong to, all or none; raises NotStored.
   * @param {{kind: string, who: string, members: any, op_id?: string}[]} drafts @param {any} pass @param {any} stamp
   */
  async add(drafts, pass, stamp) {
    const rows = await this.store.write(["operations", "passes", "meta"], async (of) => {
      const first = (await asked(of("meta").get("next_dseq"))) ?? 1;
      const made = drafts.map((draft, place) => rowOf(draft, first + place, pass, stamp));
      for (const row of made) of("operations").add(row);
      of("passes").put({ ...pass, ops: [...(pass.ops ?? []), ...made.map((row) => row.op_id)] });
      putMeta(of, { next_dseq: first + made.length });
      return made;
    });
    rows.forEach((row) => this.note(row));
    return rows;
  }

  /** Change stored rows in one transaction; what another page changed meanwhile is kept. @param {number[]} dseqs @param {(row: Row) => void} change @param {Record<string, any>} [meta] */
  async change(dseqs, change, meta = {}) {
    const rows = await this.store.write(["operations", "meta"], async (of) => {
      const found = await Promise.all(dseqs.map((dseq) => asked(of("operations").get(dseq))));
      const there = found.filter(Boolean);
      for (const row of there) {
        change(row);
        of("operations").put(row);
      }
      putMeta(of, meta);
      return there;
    });
    rows.forEach((row) => this.note(row));
    return rows;
  }

  /** The unsent ones, oldest first, those in trouble last. @param {Set<number>} [but] @returns {Row[]} */
  unsent(but = new Set()) {
    const some = [...this.rows.values()].filter((row) => row.status === "unsent" && !but.has(row.dseq));
    return some.sort((one, other) => one.tries - other.tries || one.dseq - other.dseq);
  }

  /** What went neither into the record nor is unsent: kept aside, held, in review. @returns {Row[]} */
  troubled() {
    return [...this.rows.values()].filter((row) => row.status === "quarantined" || WAITING.has(row.status));
  }

  /** As many as fit into a push. @param {Set<number>} but @returns {Row[]} */
  portion(but) {
    const found = [];
    let size = 0;
    for (const row of this.unsent(but)) {
      size += JSON.stringify(row.body).length * 3;
      if (found.length && (found.length >= MOST_OPERATIONS || size > MOST_BYTES)) break;
      found.push(row);
    }
    return found;
  }

  /** What the cards don't show yet, of these names of one animal, oldest first. @param {Iterable<string>} names @returns {Row[]} */
  pending(names) {
    const found = [];
    for (const name of names) {
      for (const dseq of this.byWho.get(name) ?? []) if (isPending(this.rows.get(dseq))) found.push(this.rows.get(dseq));
    }
    return found.sort((one, other) => one.dseq - other.dseq);
  }

  /** Forget what has been in the record for thirty days by the server's clock. @param {string} serverTime */
  async prune(serverTime) {
    const until = Date.parse(serverTime) - KEPT_MS;
    const old = [...this.rows.values()].filter(
      (row) => (IN_RECORD.has(row.status) && row.pulled && Date.parse(row.answered_at) < until)
        || (row.status === "taken_back" && Date.parse(row.stored_at) < until),
    );
    if (!old.length) return;
    await this.store.write(["operations"], (of) => { for (const row of old) of("operations").delete(row.dseq); });
    for (const row of old) {
      this.rows.delete(row.dseq);
      this.byWho.get(row.who)?.delete(row.dseq);
    }
  }

  /** Write all that memory holds into a storage that was emptied under us. */
  async rescue() {
    const rows = [...this.rows.values()].filter((row) => row.status !== "taken_back");
    const next = Math.max(0, ...rows.map((row) => row.dseq)) + 1;
    await this.store.write(["operations", "meta"], (of) => {
      for (const row of rows) of("operations").put(row);
      putMeta(of, { next_dseq: next });
    });
    return rows.filter((row) => row.status === "unsent").length;
  }
}

/** Whether the cards don't show it yet. @param {Row} row */
function isPending(row) {
  if (row.status === "unsent" || (IN_RECORD.has(row.status) && !row.pulled)) return true;
  return WAITING.has(row.status) && (row.kind.startsWith("event") || row.kind === "animal.register");
}

/** @returns {Row} */
function rowOf(draft, dseq, pass, stamp) {
  const op_id = draft.op_id ?? newId();
  const body = { op_id, dseq, kind: draft.kind, ...stamp, ...draft.members };
  const state = { status: "unsent", handed: false, tries: 0, epoch: "", answer: {}, answered_at: "", pulled: false };
  return { dseq, op_id, kind: draft.kind, who: draft.who, pass: pass.id, stored_at: stamp.at, ...state, body };
}
