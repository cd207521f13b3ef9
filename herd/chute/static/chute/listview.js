/** Who went through today and who is still expected; numbers pasted or typed as a list. */

import { ageOf, nameOf } from "./cardfacts.js";
import { button, field, h } from "./element.js";

const MOST = 200;

/** @param {import("./app.js").App} app */
export function listView(app) {
  const passes = app.today.list();
  const { waiting } = app.today.counts();
  return h("section.stack", { "aria-labelledby": "title" },
    h("h1", { id: "title", tabindex: "-1" }, "Today’s list"),
    h("div.columns", null,
      h("div", null, h("h2", null, `Through, ${passes.length}`), passes.length ? null : h("p", null, "None yet."),
        h("ul.list", null, passes.slice(0, MOST).map((pass) => h("li.row", null,
          h("span", null, h("strong", null, pass.label), ` ${pass.said.join(", ") || "seen"}`),
          button("Undo", () => app.undo(pass).then(() => app.render()), "quiet", { "aria-label": `Undo ${pass.label}` }))))),
      h("div", null, h("h2", null, `Still expected, ${waiting.length}`),
        h("ul.list", null, waiting.slice(0, MOST).map((card) => h("li", null, button(`${nameOf(card)} · ${card.class}, ${ageOf(card.born_on, card.born_precision, app.today.day)}`, () => {
          app.arrivedCard(card);
        }, "wide quiet")))),
        waiting.length > MOST ? h("p", null, `and ${waiting.length - MOST} more`) : null)),
    typedList(app));
}

function typedList(app) {
  const text = h("textarea", { id: "numbers", rows: 6, "data-list": true, spellcheck: "false", autocomplete: "off" });
  const told = h("p", { role: "status", id: "list-told" }, app.files.waiting ? `${app.files.waiting} lists wait to be sent.` : "");
  const add = async () => {
    try {
      const count = await app.files.add(text.value, app.today);
      if (!count) told.textContent = "Type or paste some numbers first.";
      else {
        text.value = "";
        told.textContent = `${count} lines are safe on this device. The office finds them as a field file once they are sent.`;
        app.sync.captured();
      }
    } catch (problem) {
      app.failed(problem);
    }
  };
  return h("details.box", null, h("summary", null, "A list of numbers"),
    h("p", null, "From a reader in keyboard mode, or pasted. It goes to the office as a field file of today, where it is read and reviewed."),
    field("Numbers, one a line", text), button("Keep the list", add, "primary", { id: "keep-list" }), told);
}
