/** The page of a device that has no token, or whose token holds no more. */

import { codeOfAddress, enrol } from "./enrolment.js";
import { button, field, h } from "./element.js";

/** @param {import("./app.js").App} app */
export function enrolView(app) {
  const code = h("input.huge", { id: "code", value: codeOfAddress(), autocomplete: "off", autocapitalize: "characters", spellcheck: "false", maxlength: 20, "data-text": true });
  const told = h("p.fault", { role: "alert" });
  const unsent = app.outbox.unsent().length;
  const submit = async (event) => {
    event.preventDefault();
    told.textContent = "";
    try {
      await enrol(app.store, app.wire, code.value, app.meta, unsent);
    } catch (problem) {
      told.textContent = problem.message;
      return;
    }
    app.alarm("");
    history.replaceState(null, "", location.pathname);
    app.show("setup");
    app.sync.now();
  };
  return h("section.stack", { "aria-labelledby": "title" },
    h("h1", { id: "title", tabindex: "-1" }, app.meta.token ? "Enrol this device again" : "Enrol this device"),
    unsent ? h("p.note.warn", null, `${unsent} unsent entries are safe on this device. They are sent once it is enrolled again.`) : null,
    h("p", null, "In the office open Set-up, Devices, and make a code. Scan its picture with this device’s camera, or type the code here."),
    h("form.stack", { onsubmit: submit }, field("One-time code", code), told, h("div.row", null, h("button.button.primary.big", { type: "submit" }, "Enrol"))),
    app.meta.token ? button("Back", () => app.show("work")) : null);
}
