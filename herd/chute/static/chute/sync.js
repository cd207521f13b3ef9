/** Sync runs whenever there is a network: push first, then pull; one page of the device at a time. */

import { Delivery } from "./delivery.js";
import { Pulling } from "./pulling.js";
import { NotStored } from "./store.js";
import { Blocked, Offline, Refused } from "./wire.js";

const SOON = 700;
const EVERY = 30_000;
const BUSY = 2_000;
const LONGEST = 300_000;
const LOCK = "notchbook-chute-sync";

/** Milliseconds before the next try: by chance, up to twice as long as the last time, at least what was asked for. @param {number} attempt @param {number} chance @param {number} wanted */
export function waitBefore(attempt, chance, wanted) {
  return Math.max(Math.min(LONGEST, 1000 * 2 ** attempt) * chance, wanted);
}

export class Sync {
  /** @param {any} parts store, outbox, herd, wire, clocks, today, meta */
  constructor(parts) {
    Object.assign(this, parts);
    /** @type {"waiting" | "working" | "sent" | "offline" | "blocked" | "refused" | "full" | "none"} */
    this.state = "waiting";
    this.said = "";
    this.attempt = 0;
    this.pulling = new Pulling(this.store, this.wire, this.outbox);
    this.pulling.oncopied = (count) => this.tell("working", `Copying the herd: ${count}`);
    this.onchange = () => {};
    this.onherd = () => {};
    this.channel = globalThis.BroadcastChannel ? new BroadcastChannel("notchbook-chute") : null;
    if (this.channel) this.channel.onmessage = ({ data }) => this.hear(data);
    addEventListener("online", () => this.now());
    document.addEventListener("visibilitychange", () => { if (!document.hidden) this.outbox.load().then(() => this.now()); });
  }

  tell(state, said = "") {
    Object.assign(this, { state, said });
    this.onchange();
  }

  /** After something was kept: others learn of it, and it is sent soon. */
  captured() {
    this.channel?.postMessage({ kind: "operations" });
    this.later(this.state === "offline" ? Math.min(this.due - Date.now(), LONGEST) : SOON);
    this.onchange();
  }

  /** The network is back, or someone asks: no waiting. */
  now() {
    this.attempt = 0;
    return this.round();
  }

  later(wait) {
    clearTimeout(this.timer);
    this.due = Date.now() + Math.max(0, wait);
    this.timer = setTimeout(() => this.round(), Math.max(0, wait));
  }

  /** One round, unless one is under way in this page or another. */
  async round() {
    if (this.running) return this.running;
    this.running = this.alone().finally(() => { this.running = null; });
    return this.running;
  }

  async alone() {
    clearTimeout(this.timer);
    if (!this.meta.token) return this.tell("none");
    if (!navigator.locks) return this.work();
    return navigator.locks.request(LOCK, { ifAvailable: true }, (lock) => (lock ? this.work() : this.later(BUSY)));
  }

  async work() {
    if (this.state !== "offline") this.tell("working");
    const delivery = new Delivery(this.outbox, this.wire, this.clocks);
    try {
      // Where pages can't tell each other, what another has kept is read again.
      if (!this.channel) await this.outbox.load();
      await delivery.run();
      await delivery.askAgain();
      await this.files.send();
      await this.pull(delivery);
      await this.outbox.prune(this.meta.server_time ?? "");
      this.attempt = 0;
      this.later(this.outbox.unsent(delivery.stuck).length ? SOON : EVERY);
      this.tell("sent");
    } catch (problem) {
      this.failed(problem);
    } finally {
      this.channel?.postMessage({ kind: "operations" });
    }
  }

  async pull(delivery) {
    const meta = await this.store.meta();
    if (meta.learned_on !== this.clocks.day("UTC")) await this.learnOutfit();
    const found = await this.pulling.run(meta.cursor ?? "", delivery);
    this.meta.server_time = delivery.serverTime || this.meta.server_time;
    if (found.all) await this.showAll();
    else this.herd.change(found.items);
    this.herd.follow(this.outbox.takeChanged());
    this.channel?.postMessage({ kind: "herd", all: found.all, items: found.all ? [] : found.items });
    this.onherd();
  }

  async learnOutfit() {
    const told = await this.wire.get("me/");
    const learned = { time_zone: told.time_zone, weight_unit: told.weight_unit, outfit_name: told.name, right: told.right };
    await this.store.put({ ...learned, learned_on: this.clocks.day("UTC") });
    Object.assign(this.meta, learned);
    this.today.learn(learned);
  }

  async showAll() {
    this.herd.fill(await this.store.all("animals"), await this.store.all("lists"));
  }

  failed(problem) {
    if (problem instanceof Offline) {
      this.attempt += 1;
      this.later(waitBefore(this.attempt, Math.random(), problem.wait));
      this.tell("offline", problem.message);
    } else if (problem instanceof Blocked) this.tell("blocked", "Enrol this device again. What is unsent stays here until then.");
    else if (problem instanceof Refused) {
      this.later(EVERY);
      this.tell("refused", problem.message);
    } else if (problem instanceof NotStored) {
      this.later(EVERY);
      this.tell("full", problem.message);
    } else {
      this.later(EVERY);
      this.tell("refused", "Something here went wrong; it is tried again.");
      throw problem;
    }
  }

  /** What another page of this device did. */
  async hear(data) {
    if (data.kind === "operations") {
      await this.outbox.load();
      this.herd.follow(this.outbox.takeChanged());
    } else if (data.all) await this.showAll();
    else this.herd.change(data.items);
    await this.today.loadPasses();
    this.onchange();
    this.onherd();
  }
}
