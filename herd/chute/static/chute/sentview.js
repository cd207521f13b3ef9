/** What is unsent and what did not go straight into the record; saving it as a file; enrolling again. */

import { isOld } from "./bar.js";
import { button, h } from "./element.js";

const MOST = 100;
const STATES = { unsent: "unsent", held: "waits for its animal", review: "waits for a person in the office", quarantined: "kept aside by the office" };

/** @param {import("./app.js").App} app */
export function sentView(app) {
  const unsent = app.outbox.unsent();
  const troubled = app.outbox.troubled();
  return h("section.stack", { "aria-labelledby": "title" },
    h("h1", { id: "title", tabindex: "-1" }, "Sent and unsent"),
    h("p.lead", { id: "state", role: "status" }, stateOf(app, unsent.length)),
    isOld(unsent) ? h("p.note.bad", null, h("strong", null, "Some of it waits for more than three days."), " Bring this device to a network, or save the unsent as a file and hand it to the office.") : null,
    globalThis.isSecureContext ? null : h("p.note.warn", null, "This address begins with http: the page can’t start without a network from it, so keep the page open. Ask the office for the address with https."),
    h("div.row", null, button("Send now", () => app.sync.now(), "primary big"),
      unsent.length ? button("Save unsent as a file", () => save(app), "", { id: "save" }) : null,
      button(app.sync.state === "blocked" ? "Enrol again" : "Enrol anew", () => app.show("enrol"), app.sync.state === "blocked" ? "primary" : "quiet", { id: "enrol-again" })),
    rows("Not in the record", [...troubled, ...unsent], app),
    h("p.small", null, `This device: ${app.meta.device_name ?? ""}, ${app.meta.outfit_name ?? app.meta.outfit ?? ""}. ${app.version ? `Version ${app.version}.` : ""}`));
}

function stateOf(app, count) {
  if (app.sync.state === "sent" && !count) return "All is sent.";
  const left = count ? `${count} entries are safe on this device and not sent yet. ` : "";
  return left + (app.sync.said || (app.sync.state === "working" ? "Sending now." : ""));
}

function rows(title, some, app) {
  if (!some.length) return null;
  return h("div", null, h("h2", null, title), h("ul.list", null, some.slice(0, MOST).map((row) => h("li", null,
    h("strong", null, whatOf(row)), ` ${app.today.passes.get(row.pass)?.label ?? ""} · ${STATES[row.status] ?? row.status}`,
    (row.answer.reasons ?? []).map((one) => h("span.small", null, ` ${one.detail}`))))),
    some.length > MOST ? h("p", null, `and ${some.length - MOST} more`) : null);
}

function whatOf(row) {
  if (row.kind === "event") return row.body.data.kind.replace("_", " ");
  return { "event.void": "taken back", "tag.off": "tag off", "tag.on": "tag on", "animal.register": "new animal", move: "move" }[row.kind] ?? row.kind;
}

/** A file that the server takes as a push: by the office's page of this device, or by the API with its token. */
function save(app) {
  const ops = app.outbox.unsent().map((row) => row.body);
  const text = JSON.stringify({ schema: 1, device: app.meta.device, saved_at: new Date().toISOString(), ops }, null, 1);
  const link = h("a", { href: URL.createObjectURL(new Blob([text], { type: "application/json" })), download: `unsent ${app.meta.device_name ?? "chute"} ${app.today.day}.json` });
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
}
