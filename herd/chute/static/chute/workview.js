/** The chute itself: the number, what was kept last, the animal's card, and what is entered for it. */

import { cautionsOf, factsOf, nameOf, spaced, whole } from "./cardfacts.js";
import { button, h } from "./element.js";
import { entryView } from "./entryview.js";

/** @param {import("./app.js").App} app */
export function workView(app) {
  const title = h("h1.unseen", { tabindex: "-1" }, "At the chute");
  // With an animal in the chute its card comes first; a reader needs no field to type into.
  if (app.current) return h("div.work", null, title, lastStrip(app), lookAgain(app), currentView(app), numberForm(app));
  return h("div.work", null, title, numberForm(app), lastStrip(app), lookAgain(app), app.choices ? choicesView(app) : waitingView(app));
}

/** Put the cursor where the next thing is typed. @param {import("./app.js").App} app */
export function focusWork(app) {
  const wanted = app.current ? document.querySelector("[data-first]") ?? document.getElementById("keep") : document.getElementById("number");
  wanted?.focus({ preventScroll: true });
  scrollTo(0, 0);
  // Under the keys on the screen nothing could be read.
  if (app.current) wanted?.scrollIntoView({ block: "nearest" });
}

function numberForm(app) {
  const number = h("input.huge", { id: "number", inputmode: "numeric", autocomplete: "off", autocapitalize: "characters", spellcheck: "false", maxlength: 40, enterkeyhint: "go" });
  const submit = (event) => {
    event.preventDefault();
    const { value } = number;
    number.value = "";
    app.typed(value);
  };
  return h("form.number", { onsubmit: submit },
    h("label", { for: "number" }, "Number or last digits"),
    h("div.row", null, number, h("button.button.big", { type: "submit" }, "Find")));
}

function lastStrip(app) {
  const { last } = app;
  if (!last) return null;
  if (last.note) return h(`p.note.${last.kind}`, { id: "last" }, last.note);
  const { pass } = last;
  return h(`div.note.${pass.asides.length ? "warn" : "good"}.last`, { id: "last" },
    h("p", null, h("strong", null, saidOf(pass))),
    button("Undo", () => app.undo(pass), "undo", { id: "undo", "aria-label": `Undo ${pass.label}` }));
}

function saidOf(pass) {
  const said = pass.said.join(", ");
  if (said) return `Kept for ${pass.label}: ${said}`;
  return pass.asides.length ? `Nothing is kept for ${pass.label} yet` : `${pass.label} went through, nothing entered`;
}

/** What could not be kept as it was entered, of today and before, until someone has decided. */
function lookAgain(app) {
  const open = [...app.today.passes.values()].filter((pass) => pass.asides.length && !pass.undone);
  return open.flatMap((pass) => pass.asides.map((aside, place) => asideView(app, pass, aside, place)));
}

function asideView(app, pass, aside, place) {
  const value = h("input", { value: aside.value, inputmode: aside.field === "weight" ? "decimal" : "text", "aria-label": `${aside.field} of ${pass.label}`, maxlength: 40, autocomplete: "off" });
  const settle = async (text) => {
    try {
      await app.today.settle(pass, place, text);
      app.sync.captured();
      app.render();
    } catch (problem) {
      app.failed(problem);
    }
  };
  const canBeKept = aside.field === "weight" || aside.field === "tube";
  return h("details.note.bad.aside", { open: !app.current },
    h("summary", null, `NOT kept for ${pass.label}: ${aside.field} ${aside.value}`),
    h("p", null, aside.reason),
    h("div.row", null, canBeKept && value, canBeKept && button("Keep this", () => settleChecked(app, aside, value.value, settle), "primary"),
      button("Leave it out", () => settle(""))));
}

function settleChecked(app, aside, text, settle) {
  const plain = text.trim().replace(",", ".");
  const isFit = aside.field === "weight" ? /^\d{1,4}(?:\.\d{1,3})?$/.test(plain) && Number(plain) > 0 : plain.length >= 4 && plain.length <= 20;
  if (isFit) settle(plain);
  else app.voice.sound("unknown");
}

function choicesView(app) {
  const { read, found } = app.choices;
  return h("section.stack", { id: "choices", "aria-labelledby": "which" },
    h("h2", { id: "which" }, `Which one is ${read.number}?`),
    found.map((card) => {
      const eid = card.tags.find((tag) => tag.kind === "eid");
      const where = card.status === "on_hand" ? app.herd.groupName(card.group) : card.status;
      return button(`${nameOf(card)} · ${card.class} · ${where}${eid ? ` · …${eid.number.slice(-4)}` : ""}`, () => app.begin(card, read), "wide");
    }),
    button("None of these", () => app.begin(null, read), "wide"), button("Leave it", () => app.leave()));
}

function waitingView(app) {
  const { work } = app.today;
  const name = work.group ? app.herd.groupName(work.group) : "any group";
  return h("section.waiting", null, h("p.lead", null, `Ready for the next of ${name}.`),
    h("p", null, "Scan a tag, or type its number or its last digits."));
}

function currentView(app) {
  const { card, entry } = app.current;
  return h("div.columns", null,
    h("section.card", { id: "card", "aria-label": "Animal" }, card ? cardView(app, card) : unknownView(app, entry)),
    entryView(app));
}

/** @param {import("./app.js").App} app @param {any} card */
export function cardView(app, card) {
  const here = { today: app.today.day, groupName: (id) => app.herd.groupName(id) };
  const cautions = cautionsOf(card, { ...here, work: app.today.work, earlier: app.current.earlier });
  const colour = card.tags.find((tag) => tag.kind === "vid")?.colour ?? "";
  return [
    h("h2.vid", null, h("span", { class: `tag ${colour ? `tag-${colour}` : ""}` }, nameOf(card))),
    cautions.map((one) => h(`p.note.${one.kind}`, null, h("strong", null, one.text))),
    h("dl.facts", null, factsOf(card, here).map(([word, fact]) => [h("dt", null, word), h("dd", null, whole(fact))])),
    card.pending?.length ? h("p.small", null, `${card.pending.length} entries of this device are not in the record yet.`) : null,
  ];
}

function unknownView(app, entry) {
  const classes = [["cow", "Cow"], ["heifer", "Heifer"], ["steer", "Steer"], ["bull", "Bull"]];
  const pick = h("div.choices", null, classes.map(([value, label]) => button(label, (event) => {
    entry.register = entry.register === value ? "" : value;
    for (const one of event.target.parentElement.children) one.setAttribute("aria-pressed", String(one.textContent === label && entry.register === value));
    app.noteDraft();
  }, "choice", { "aria-pressed": String(entry.register === value) })));
  return [
    h("h2.vid", null, spaced(entry.read.number)),
    h("p.note.warn", null, h("strong", null, "Not in this device’s herd.")),
    h("p", null, "What you enter is kept under this number, and the office decides whose it is. Is it a new animal? Say what it is:"),
    h("div.field", { role: "group", "aria-label": "New animal" }, pick),
  ];
}

