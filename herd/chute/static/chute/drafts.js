/** What is typed and not kept yet, so that a page that dies in between forgets nothing. */

import { newId } from "./identity.js";

const SOON = 150;
const LOCK = "notchbook-chute-page-";

export class Drafts {
  /** @param {import("./store.js").Store} store */
  constructor(store) {
    this.store = store;
    this.tab = newId();
    this.timer = 0;
    // Held as long as the page lives: a draft whose page holds no lock is one that was left behind.
    navigator.locks?.request(LOCK + this.tab, () => new Promise(() => {}));
  }

  /** @param {any} entry */
  note(entry) {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.write(entry), SOON);
  }

  async write(entry) {
    const row = { tab: this.tab, entry, at: new Date().toISOString() };
    // A draft that can't be written is told when the entry is kept.
    await this.store.write(["drafts"], (of) => { of("drafts").put(row); }).catch(() => {});
  }

  drop() {
    clearTimeout(this.timer);
    this.store.write(["drafts"], (of) => { of("drafts").delete(this.tab); }).catch(() => {});
  }

  /** Take over the latest entry that a page left behind. @param {Map<string, any>} passes @returns {Promise<any>} */
  async takeOver(passes) {
    const held = (await navigator.locks?.query())?.held ?? [];
    const living = new Set(held.map((lock) => lock.name.slice(LOCK.length)));
    const left = (await this.store.all("drafts")).filter((one) => !living.has(one.tab));
    if (!left.length) return null;
    await this.store.write(["drafts"], (of) => { for (const one of left) of("drafts").delete(one.tab); });
    const open = left.filter((one) => !passes.has(one.entry.id)).sort((one, other) => (one.at < other.at ? 1 : -1));
    return open[0]?.entry ?? null;
  }
}
