/** Delivers the outbox: oldest first, in portions, each operation once however often it has to be sent. */

import { Blocked, Faulty, Offline, Refused } from "./wire.js";

const MOST_KNOWN = 1_000;
// Halving a full portion down to the one that the server can't take needs nine refusals.
const MOST_FAULTS = 12;
const SCHEMA = 1;

export class Delivery {
  /** @param {import("./outbox.js").Outbox} outbox @param {import("./wire.js").Wire} wire @param {import("./clocks.js").Clocks} clocks */
  constructor(outbox, wire, clocks) {
    Object.assign(this, { outbox, wire, clocks });
    this.epoch = "";
    this.serverTime = "";
    this.stuck = new Set();
    this.faults = 0;
    this.sent = 0;
  }

  /** Deliver all; raises Offline, Refused, Blocked, NotStored with what was answered kept. */
  async run() {
    for (;;) {
      await this.putBackWhatItLacks();
      const some = this.outbox.portion(this.stuck);
      if (!some.length) return;
      await this.send(some);
    }
  }

  /** Deliver where the server may have been put back to an earlier state: it is asked for everything it had. */
  async runInDoubt() {
    const answered = [...this.outbox.rows.values()].filter((row) => isAnswered(row)).map((row) => row.dseq);
    await this.outbox.change(answered, (row) => { row.epoch = ""; });
    this.epoch = String((await this.wire.get("sync/info/")).epoch);
    await this.run();
  }

  /** Ask for what was acknowledged in another epoch; what the server lacks is unsent again. */
  async putBackWhatItLacks() {
    for (;;) {
      const doubtful = [...this.outbox.rows.values()].filter((row) => isAnswered(row) && row.epoch !== this.epoch);
      if (!this.epoch || !doubtful.length) return;
      await this.askFor(doubtful.slice(0, MOST_KNOWN), { resend: true });
    }
  }

  /** Learn what has become of what waits for a person or for what it depends on. */
  async askAgain() {
    const waiting = this.outbox.troubled().filter((row) => row.status !== "quarantined");
    if (waiting.length) await this.askFor(waiting.slice(-MOST_KNOWN), { resend: false });
  }

  /** @param {import("./outbox.js").Row[]} rows @param {{resend: boolean}} how */
  async askFor(rows, { resend }) {
    const answer = await this.wire.post("sync/known/", JSON.stringify({ op_ids: rows.map((row) => row.op_id) }));
    if (!Array.isArray(answer.known) || !answer.epoch) throw new Offline("The server's answer does not fit.");
    const known = new Map(answer.known.map((one) => [one.op_id, one]));
    this.epoch = String(answer.epoch);
    await this.outbox.change(rows.map((row) => row.dseq), (row) => {
      const told = known.get(row.op_id);
      if (told) acknowledge(row, told, this.epoch, this.serverTime || row.answered_at);
      else if (resend) Object.assign(row, { status: "unsent", answer: {}, epoch: "", pulled: false });
    });
  }

  /** @param {import("./outbox.js").Row[]} some */
  async send(some) {
    const dseqs = some.map((row) => row.dseq);
    // What another page has taken back since is not sent; from here on it can only be voided.
    const found = await this.outbox.change(dseqs, (row) => { row.handed ||= row.status === "unsent"; });
    const there = new Set(found.map((row) => row.dseq));
    // What the browser has taken away is written again first, and sent then.
    for (const dseq of dseqs) if (!there.has(dseq)) this.stuck.add(dseq);
    const rows = found.filter((row) => row.status === "unsent");
    if (!rows.length) return;
    let answer;
    try {
      answer = await this.wire.post("sync/push/", this.bodyOf(rows));
    } catch (problem) {
      await this.sendHalves(rows, problem);
      return;
    }
    const ids = (answer.results ?? []).map((one) => one.op_id);
    if (ids.length !== rows.length || rows.some((row, place) => row.op_id !== ids[place])) {
      throw new Offline("The server's answer does not fit what was sent.");
    }
    this.learn(answer);
    const told = new Map(answer.results.map((one) => [one.op_id, one]));
    await this.outbox.change(rows.map((row) => row.dseq), (row) => {
      acknowledge(row, told.get(row.op_id), this.epoch, this.serverTime);
    }, { server_time: this.serverTime });
    this.sent += rows.length;
  }

  /** Find by halving what the server can't take, so that it keeps nothing else back. */
  async sendHalves(rows, problem) {
    const isAboutContent = problem instanceof Faulty || (problem instanceof Refused && [400, 413].includes(problem.status));
    this.faults += 1;
    if (!isAboutContent || problem instanceof Blocked || this.faults > MOST_FAULTS) throw problem;
    if (rows.length === 1) {
      this.stuck.add(rows[0].dseq);
      await this.outbox.change([rows[0].dseq], (row) => { row.tries += 1; });
      return;
    }
    const half = Math.ceil(rows.length / 2);
    await this.send(rows.slice(0, half));
    await this.send(rows.slice(half));
  }

  /** @param {import("./outbox.js").Row[]} rows */
  bodyOf(rows) {
    return JSON.stringify({ schema: SCHEMA, clock: this.clocks.shown(), ops: rows.map((row) => row.body) });
  }

  /** @param {{epoch: string, server_time: string}} answer */
  learn(answer) {
    this.epoch = String(answer.epoch);
    this.serverTime = String(answer.server_time);
    this.clocks.learn(this.serverTime);
  }
}

/** @param {import("./outbox.js").Row} row */
function isAnswered(row) {
  return row.status !== "unsent" && row.status !== "taken_back";
}

function acknowledge(row, told, epoch, serverTime) {
  const isFirst = row.status === "unsent";
  Object.assign(row, { status: told.status, answer: told, epoch, answered_at: serverTime, tries: 0 });
  if (isFirst) row.pulled = false;
}
