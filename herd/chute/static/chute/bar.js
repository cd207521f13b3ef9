/** The bar above every view: what went through, what is unsent, and the way to the other views. */

import { button, h } from "./element.js";

const OLD_MS = 3 * 86_400_000;
const WORDS = { waiting: "Not sent yet", working: "Sending", sent: "All sent", offline: "No network", blocked: "Enrol again", refused: "Not taken", full: "Storage full", none: "Not enrolled" };

/** @param {import("./app.js").App} app */
export function barView(app) {
  if (!app.meta.token) return [h("strong.brand", null, "Chute")];
  const { through, expected } = app.today.counts();
  const link = (name, label) => button(label, () => app.show(name), "tab", { "aria-current": app.view === name ? "page" : null });
  return [
    h("p.counts", { id: "counts", role: "status" }, h("span", null, "Through ", h("strong", null, String(through))), " ", h("span", null, "Expected ", h("strong", null, String(expected)))),
    h("nav.tabs", { "aria-label": "Views" }, link("work", "Chute"), link("list", "List"), link("setup", "Today"), sentButton(app)),
  ];
}

/** Whether something waits for more than three days, after which some browsers clear what a page has stored. @param {any[]} unsent */
export function isOld(unsent) {
  return unsent.some((row) => Date.now() - Date.parse(row.stored_at) > OLD_MS);
}

function sentButton(app) {
  const unsent = app.outbox.unsent();
  const state = app.sync.state;
  const isBad = isOld(unsent) || state === "blocked" || state === "full" || state === "refused";
  const word = state === "sent" && unsent.length ? WORDS.waiting : WORDS[state];
  const said = unsent.length ? `Unsent ${unsent.length}` : word;
  const label = unsent.length ? `Unsent ${unsent.length}, ${word}` : word;
  return button(said, () => app.show("sent"), `tab sent ${isBad ? "bad" : unsent.length ? "warn" : "good"}`, { id: "sent", "aria-label": label, "aria-current": app.view === "sent" ? "page" : null, "data-state": state });
}
