/** Today at the chute: what is done, which animals went through, what was kept for each, and taking it back. */

import { drawUp, subjectOf } from "./entry.js";
import { newId } from "./identity.js";
import { asked, putMeta } from "./store.js";

const KEPT_DAYS = 30;
const NO_WORK = { group: "", tasks: ["weight"], products: [], moveTo: "" };

/**
 * @typedef {object} Pass one animal through the chute
 * @property {string} id @property {string} at @property {string} day @property {string} group @property {string} animal
 * @property {any} read @property {string} label @property {string[]} said @property {any[]} asides @property {string[]} ops
 * @property {boolean} undone @property {any} entry
 */

export class Today {
  constructor(store, outbox, herd, clocks) {
    Object.assign(this, { store, outbox, herd, clocks });
    this.work = { ...NO_WORK };
    /** @type {Map<string, Pass>} */
    this.passes = new Map();
    this.zone = "";
    this.unit = "lb";
  }

  async load(meta) {
    this.work = { ...NO_WORK, ...meta.work };
    this.learn(meta);
    await this.loadPasses();
  }

  async loadPasses() {
    this.passes = new Map((await this.store.all("passes")).map((one) => [one.id, one]));
  }

  learn({ time_zone: zone, weight_unit: unit }) {
    this.zone = zone ?? this.zone;
    this.unit = unit ?? this.unit;
  }

  get day() {
    return this.clocks.day(this.zone);
  }

  async choose(work) {
    await this.store.put({ work });
    this.work = work;
  }

  /** The passes of today's work in its group, the latest first. @returns {Pass[]} */
  list() {
    const { day } = this;
    const found = [...this.passes.values()].filter((one) => one.day === day && one.group === this.work.group && !one.undone);
    return found.sort((one, other) => (one.id < other.id ? 1 : -1));
  }

  /** The pass of an animal today, in whatever group. @returns {Pass | undefined} */
  passOf(animal, number) {
    const { day } = this;
    return [...this.passes.values()].find((one) => one.day === day && !one.undone
      && (animal ? this.herd.standing(one.animal) === animal : !one.animal && one.read?.number === number));
  }

  /** How many went through and how many are still expected. */
  counts() {
    const list = this.list();
    const seen = new Set(list.map((one) => one.animal && this.herd.standing(one.animal)).filter(Boolean));
    const { day } = this;
    const waiting = this.herd.expected(this.work.group).filter((card) => !seen.has(card.id) && !this.wasDoneElsewhere(card, day));
    const numbers = new Set(list.map((one) => one.animal || one.read?.number));
    return { through: numbers.size, expected: waiting.length, waiting };
  }

  /** Whether the record shows that another device did today's weighing or check. */
  wasDoneElsewhere(card, day) {
    const { tasks } = this.work;
    return (tasks.includes("weight") && card.weights?.[0]?.on === day)
      || (tasks.includes("pregnancy_check") && card.pregnancy?.on === day);
  }

  /** Keep what was entered; resolves when it is on the disk, raises NotStored with nothing kept. @param {boolean} isByHand whether a person said so, not the next number @returns {Promise<Pass>} */
  async keep(entry, card, label, isByHand = false) {
    const kept = drawUp(entry, card, this.work, { unit: this.unit, today: this.day, starts: this.herd.starts, isByHand });
    const stamp = this.clocks.stamp();
    const pass = {
      id: entry.id, at: stamp.at, day: this.day, group: this.work.group, animal: entry.animal || kept.animal || "",
      read: entry.read, label, said: kept.said, asides: kept.asides, ops: [], undone: false, entry, from: card?.group ?? "",
    };
    const rows = await this.outbox.add(kept.drafts, pass, stamp);
    pass.ops = rows.map((row) => row.op_id);
    this.passes.set(pass.id, pass);
    this.herd.follow(rows);
    return pass;
  }

  /** Keep what had been left aside, as it is now typed; or leave it out where nothing is. */
  async settle(pass, place, value) {
    const aside = pass.asides[place];
    const asides = pass.asides.filter((_, other) => other !== place);
    const { subject, who } = pass.animal ? { subject: { animal: pass.animal }, who: `animal:${pass.animal}` } : subjectOf(pass.entry);
    const event = value ? eventOf(aside, value) : null;
    const drafts = event ? [{ kind: "event", who, members: { subject, data: event } }] : [];
    const said = value ? [...pass.said, `${value} ${aside.unit ?? ""}`.trim()] : pass.said;
    const changed = { ...pass, asides, said };
    const rows = await this.outbox.add(drafts, changed, this.clocks.stamp());
    changed.ops = [...pass.ops, ...rows.map((row) => row.op_id)];
    this.passes.set(pass.id, changed);
    this.herd.follow(rows);
  }

  /**
   * Take back a pass: what was never on its way is not sent; what was is voided.
   * @param {Pass} pass @returns {Promise<string[]>} what can't be taken back here, in words
   */
  async undo(pass) {
    const mine = [...this.outbox.rows.values()].filter((row) => row.pass === pass.id && row.status !== "taken_back" && !row.kind.endsWith(".void"));
    const left = [];
    const drafts = [];
    await this.outbox.change(mine.map((row) => row.dseq), (row) => {
      if (row.status === "unsent" && !row.handed) row.status = "taken_back";
      else if (row.kind === "animal.register") left.push("The new animal stays in the record; the office can take it back.");
      else drafts.push(...reversed(row, pass));
    });
    const changed = { ...pass, undone: true };
    // A pass of its own, so that taking it back again does not take back the taking back.
    const rows = await this.outbox.add(drafts, changed, this.clocks.stamp());
    this.passes.set(pass.id, changed);
    this.herd.follow([...mine, ...rows]);
    return left;
  }

  /** Forget passes of long ago. */
  async prune() {
    const until = new Date(this.clocks.now().getTime() - KEPT_DAYS * 86_400_000).toISOString();
    const old = [...this.passes.values()].filter((one) => one.at < until && !one.asides.length);
    if (!old.length) return;
    await this.store.write(["passes"], (of) => { for (const one of old) of("passes").delete(one.id); });
    for (const one of old) this.passes.delete(one.id);
  }

  /** Write what memory holds into a storage that was emptied under us. @param {Record<string, any>} meta */
  async rescue(meta) {
    await this.store.write(["passes", "meta"], async (of) => {
      for (const one of this.passes.values()) of("passes").put(one);
      const next = await asked(of("meta").get("next_dseq"));
      putMeta(of, { ...meta, cursor: "", ...(next ? { next_dseq: next } : {}), work: this.work });
    });
  }
}

function eventOf(aside, value) {
  if (aside.field === "weight") return { kind: "weight", data: { weight: value, unit: aside.unit } };
  if (aside.field === "tube") return { kind: "sample", data: { tube: value } };
  return null;
}

/** What undoes an operation that the server may have by now. */
function reversed(row, pass) {
  const { subject, data } = row.body;
  const about = (kind, members) => [{ kind, who: row.who, members: { subject, data: members } }];
  if (row.kind === "event") {
    return [{ kind: "event.void", who: row.who, op_id: newId(), members: { data: { event: row.op_id, reason: "taken back at the chute" } } }];
  }
  if (row.kind === "move" && pass.from) return about("move", { group: pass.from });
  if (row.kind === "tag.on") return about("tag.off", { kind: data.kind, number: data.number, ended: "data_error" });
  if (row.kind === "tag.off" && data.new_number) {
    return about("tag.off", { kind: data.kind, number: data.new_number, ended: "data_error", new_number: data.number, colour: data.colour ?? "" });
  }
  if (row.kind === "tag.off") return about("tag.on", { kind: data.kind, number: data.number, colour: data.colour ?? "" });
  return [];
}
