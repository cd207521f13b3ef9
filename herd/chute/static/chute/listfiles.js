/** Lists of numbers, kept on the device and handed to the office as field files of their day. */

import { newId } from "./identity.js";
import { Refused } from "./wire.js";

export class ListFiles {
  /** @param {import("./store.js").Store} store @param {import("./wire.js").Wire} wire */
  constructor(store, wire) {
    Object.assign(this, { store, wire });
    this.waiting = 0;
  }

  async load() {
    this.waiting = (await this.store.all("files")).filter((one) => !one.sent).length;
  }

  /** Keep a list durably; how many lines it has. @param {string} text @param {import("./today.js").Today} today */
  async add(text, today) {
    const lines = text.split(/\r?\n/).map((line) => line.trim()).filter(Boolean);
    if (!lines.length) return 0;
    const row = { id: newId(), text: `${lines.join("\n")}\n`, day: today.day, group: today.work.group, sent: false, refused: "" };
    await this.store.write(["files"], (of) => { of("files").put(row); });
    await this.load();
    return lines.length;
  }

  /** Send what waits; what the server refuses is kept with its reason, and stops nothing. */
  async send() {
    for (const row of await this.store.all("files")) {
      if (row.sent || row.refused) continue;
      try {
        await this.post(row);
        await this.keep({ ...row, sent: true });
      } catch (problem) {
        if (!(problem instanceof Refused) || problem.status === 401) throw problem;
        await this.keep({ ...row, refused: problem.message });
      }
    }
    await this.load();
  }

  async keep(row) {
    await this.store.write(["files"], (of) => { of("files").put(row); });
  }

  async post(row) {
    const form = new FormData();
    form.set("worked_on", row.day);
    form.set("name", `List from the chute ${row.id.slice(0, 18)}`);
    if (row.group) form.set("group", row.group);
    form.append("files", new File([row.text], "chute list.txt", { type: "text/plain" }));
    // An answer that was lost on its way is given again for the same key, and no second day is opened.
    await this.wire.post("days/", form, { "Idempotency-Key": row.id });
  }
}
