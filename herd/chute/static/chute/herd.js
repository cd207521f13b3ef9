/** The herd in memory: cards as the server sent them, what is unsent shown on top, and the numbers that find them. */

import { shown } from "./overlay.js";

const MOST_FOUND = 12;
const FEWEST_DIGITS = 2;

export class Herd {
  /** @param {import("./outbox.js").Outbox} outbox */
  constructor(outbox) {
    this.outbox = outbox;
    /** The day at the ranch of a moment; the page knows its zone better. @type {(at: string) => string} */
    this.dayOf = (at) => at.slice(0, 10);
    this.clear();
  }

  clear() {
    /** @type {Map<string, any>} */
    this.base = new Map();
    this.cards = new Map();
    this.numbers = new Map();
    /** How the EIDs here begin, as far as a weight has digits. @type {Set<string>} */
    this.starts = new Set();
    this.lists = { group: new Map(), location: new Map(), product: new Map() };
  }

  /** Show all that is stored. @param {any[]} animals @param {any[]} lists */
  fill(animals, lists) {
    this.clear();
    for (const row of lists) this.lists[row.list]?.set(row.id, row);
    for (const card of animals) this.base.set(card.id, card);
    const touched = this.touched();
    for (const card of animals) if (!touched.has(card.id)) this.index(card.id, card);
    for (const id of touched) this.renew(id);
    // Numbers are in place now, so that what names an animal by its number finds it.
    for (const who of this.outbox.byWho.keys()) if (!who.startsWith("animal:")) this.renewNamed(who);
  }

  /** Take in what changed. @param {any[]} items */
  change(items) {
    for (const item of items) {
      if (item.kind !== "animal") {
        if (item.state === "in") this.lists[item.kind]?.set(item.id, item.card);
        else this.lists[item.kind]?.delete(item.id);
        continue;
      }
      if (item.state === "in") this.base.set(item.id, item.card);
      else this.base.delete(item.id);
      if (item.state === "merged") this.outbox.aliases.set(item.id, item.into);
      this.renew(item.id);
    }
  }

  /** Show anew what was done here for these operations' animals. @param {{who: string}[]} rows */
  follow(rows) {
    for (const who of new Set(rows.map((row) => row.who))) {
      if (who.startsWith("animal:")) this.renew(who.slice(7));
      else this.renewNamed(who);
    }
  }

  /** @param {string} who */
  renewNamed(who) {
    const [kind, number, colour] = who.split(":");
    for (const id of this.wearing(kind, number, colour)) this.renew(id);
  }

  touched() {
    const names = [...this.outbox.byWho.keys()].filter((who) => who.startsWith("animal:"));
    return new Set(names.map((who) => this.standing(who.slice(7))));
  }

  /** The animal that stands for an id now. @param {string} id */
  standing(id) {
    const seen = new Set();
    while (this.outbox.aliases.has(id) && !seen.has(id)) {
      seen.add(id);
      id = this.outbox.aliases.get(id);
    }
    return id;
  }

  /** @param {string} given */
  renew(given) {
    const id = this.standing(given);
    if (id !== given) this.index(given, null);
    const base = this.base.get(id) ?? null;
    const names = [`animal:${id}`];
    for (const [ours, other] of this.outbox.aliases) if (other === id) names.push(`animal:${ours}`);
    for (const tag of base?.tags ?? []) names.push(...this.namesOf(tag, id));
    this.index(id, shown(base, this.outbox.pending(names), this.dayOf));
  }

  /** A tag as operations name an animal by it, where it names this animal alone. */
  namesOf(tag, id) {
    const alone = (colour) => this.wearing(tag.kind, tag.number, colour).every((other) => other === id);
    const names = alone("") ? [`${tag.kind}:${tag.number}`] : [];
    if (tag.colour && alone(tag.colour)) names.push(`${tag.kind}:${tag.number}:${tag.colour}`);
    return names;
  }

  /** @param {string} id @param {any} card */
  index(id, card) {
    for (const tag of this.cards.get(id)?.tags ?? []) this.numbers.get(tag.number)?.delete(id);
    if (!card) {
      this.cards.delete(id);
      return;
    }
    this.cards.set(id, card);
    for (const tag of card.tags) {
      if (tag.kind === "eid") this.starts.add(tag.number.slice(0, 4));
      const ids = this.numbers.get(tag.number);
      if (ids) ids.add(id);
      else this.numbers.set(tag.number, new Set([id]));
    }
  }

  /** Ids of the animals that wear a number. @param {string} kind @param {string} number @param {string} [colour] @returns {string[]} */
  wearing(kind, number, colour = "") {
    const isIt = (tag) => tag.kind === kind && tag.number === number && (!colour || tag.colour === colour);
    return [...(this.numbers.get(number) ?? [])].filter((id) => this.cards.get(id)?.tags.some(isIt));
  }

  /**
   * The animals that are meant by a number as it was read: those that wear it, else those with a number that ends so.
   * Animals of the group come first.
   * @param {{kind: string, number: string, colour?: string}} read @param {string} group
   */
  find(read, group) {
    const kinds = read.kind === "eid" ? ["eid"] : ["vid", "nues", "tattoo", "brand"];
    let ids = kinds.flatMap((kind) => this.wearing(kind, read.number, kind === "vid" ? read.colour : ""));
    if (!ids.length && read.kind !== "eid") ids = this.ending(read.number, group);
    return this.inOrder([...new Set(ids)], group);
  }

  /** @param {string} digits @param {string} group */
  ending(digits, group) {
    if (digits.length < FEWEST_DIGITS) return [];
    const found = [];
    for (const [number, ids] of this.numbers) if (number.endsWith(digits)) found.push(...ids);
    return this.inOrder([...new Set(found)], group).slice(0, MOST_FOUND).map((card) => card.id);
  }

  /** @param {string[]} ids @param {string} group */
  inOrder(ids, group) {
    const rank = (card) => (card.group === group ? 0 : 2) + (card.status === "on_hand" ? 0 : 1);
    return ids.map((id) => this.cards.get(id)).filter(Boolean).sort((one, other) => rank(one) - rank(other));
  }

  /** The animals of a group that are on hand; all on hand where no group is named. @param {string} group @returns {any[]} */
  expected(group) {
    const found = [];
    for (const card of this.cards.values()) {
      if (card.status === "on_hand" && (!group || card.group === group)) found.push(card);
    }
    return found;
  }

  /** Rows of a list by name. @param {"group" | "location" | "product"} kind @returns {any[]} */
  rows(kind) {
    return [...this.lists[kind].values()].sort((one, other) => String(one.name).localeCompare(String(other.name)));
  }

  /** The name of a group. @param {string} id */
  groupName(id) {
    return this.lists.group.get(id)?.name ?? "another group";
  }
}
