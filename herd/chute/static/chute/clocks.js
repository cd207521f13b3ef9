/** The device's clocks: the wall clock, which may be wrong, and the steady one, which counts from the page's start. */

import { newId } from "./identity.js";

// A clock set back to its factory's time; the server sets right what is dated so, by the steady clock.
const EARLIEST = Date.UTC(2000, 0, 1);

export class Clocks {
  constructor() {
    this.boot = newId();
    /** How far our wall clock is behind the server's, in milliseconds, as of the last contact. */
    this.behind = 0;
    /** @type {Map<string, Intl.DateTimeFormat>} */
    this.formats = new Map();
  }

  /** What both clocks show, as a push tells it. */
  shown() {
    return { now: this.stamp().at, mono_ms: this.stamp().mono_ms, boot: this.boot };
  }

  /** When something happens now, as an operation tells it. */
  stamp() {
    const at = new Date(Math.max(Date.now(), EARLIEST)).toISOString();
    return { at, mono_ms: Math.round(performance.now()), boot: this.boot };
  }

  /** Learn from an answer how far we are off. @param {string} serverTime */
  learn(serverTime) {
    const told = Date.parse(serverTime);
    if (Number.isFinite(told)) this.behind = told - Date.now();
  }

  /** Now, as far as we know. */
  now() {
    return new Date(Date.now() + this.behind);
  }

  /** The day at the ranch, as 2026-03-14. @param {string} zone @param {Date} [moment] */
  day(zone, moment) {
    let format = this.formats.get(zone);
    if (!format) this.formats.set(zone, (format = formatOf(zone)));
    return format.format(moment ?? this.now());
  }
}

/** @param {string} zone */
function formatOf(zone) {
  const parts = /** @type {const} */ ({ year: "numeric", month: "2-digit", day: "2-digit" });
  try {
    return new Intl.DateTimeFormat("en-CA", { ...parts, timeZone: zone || undefined });
  } catch {
    // A zone that this browser has not heard of: the device's own.
    return new Intl.DateTimeFormat("en-CA", parts);
  }
}
