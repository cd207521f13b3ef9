/** The fields of today's work for the animal in the chute, and the buttons below them. */

import { cameraButton } from "./camera.js";
import { button, choice, field, h, toggle } from "./element.js";
import { doubtOfEntry } from "./entry.js";
import { readWeight } from "./judging.js";
import { readNumber } from "./numbers.js";
import { tagsView } from "./tagsview.js";

/** @param {import("./app.js").App} app */
export function entryView(app) {
  const { work } = app.today;
  const fields = FIELDS.filter(([key]) => work.tasks.includes(key)).flatMap(([, make]) => make(app));
  fields.find((one) => one instanceof HTMLElement)?.querySelector?.("input, button")?.setAttribute("data-first", "");
  const submit = (event) => {
    event.preventDefault();
    goOn(app, event.currentTarget);
  };
  // A form of several fields submits by Enter only where it has a button for that, which Keep is not.
  const enter = (event) => { if (event.key === "Enter" && event.target instanceof HTMLInputElement) submit(event); };
  return h("form.entry", { onsubmit: submit, onkeydown: enter, novalidate: true, "aria-label": "Entries" }, fields, tagsView(app),
    h("div.row.end", null,
      button("Keep", () => app.keepAndWait(), "primary big keep", { id: "keep" }),
      button("Leave it", () => app.leave(), "quiet")));
}

/** Enter goes to the next empty field, and keeps after the last. */
function goOn(app, form) {
  const inputs = [...form.querySelectorAll("input:not([data-text])")];
  if (document.activeElement?.matches("[data-text]")) {
    app.keepAndWait();
    return;
  }
  const place = inputs.indexOf(document.activeElement);
  const next = inputs.slice(place + 1).find((one) => !one.value);
  if (next) next.focus();
  else app.keepAndWait();
}

function typed(app, key, attributes, after = () => {}) {
  const { entry } = app.current;
  return h("input", {
    name: key, value: entry.fields[key], autocomplete: "off", spellcheck: "false",
    oninput: (event) => {
      entry.fields[key] = event.target.value;
      app.noteDraft();
      after(event.target);
    },
    ...attributes,
  });
}

function weight(app) {
  const { entry, card } = app.current;
  const doubt = h("p.fault", { id: "doubt", role: "status" });
  const here = { unit: app.today.unit, today: app.today.day, starts: app.herd.starts };
  const judge = (input) => {
    const read = input.value.trim() ? readWeight(input.value, app.today.unit) : null;
    const found = read && (read.fault ?? doubtOfEntry(entry, card, read.weight, here));
    doubt.replaceChildren(found ?? "", found && !read.fault ? button("It is right", () => {
      entry.sure = true;
      doubt.replaceChildren("Kept as it is.");
    }) : "");
    entry.sure = false;
  };
  // Judged once the fingers rest, so that a weight is not doubted while it is typed.
  let timer = 0;
  const input = typed(app, "weight", { class: "huge", inputmode: "decimal", maxlength: 20, "aria-describedby": "doubt" }, (one) => {
    clearTimeout(timer);
    entry.sure = false;
    doubt.replaceChildren();
    timer = setTimeout(() => judge(one), 600);
  });
  input.addEventListener("piece", (event) => {
    entry.piece = event.detail;
    app.noteDraft();
  });
  return [field(`Weight, ${app.today.unit}`, input), doubt];
}

function pregnancy(app) {
  const { entry } = app.current;
  const days = field("Days bred", typed(app, "days", { inputmode: "numeric", maxlength: 3 }));
  days.hidden = entry.fields.result !== "pregnant";
  const choose = (value) => {
    entry.fields.result = value;
    days.hidden = value !== "pregnant";
    app.noteDraft();
  };
  return [choice("Pregnancy check", [["pregnant", "Bred"], ["open", "Open"], ["recheck", "Recheck"]], entry.fields.result, choose), days];
}

function medicine(app) {
  const { entry, card } = app.current;
  const { products } = app.today.work;
  const rows = products.map((one) => toggle(`${one.name}${one.dose ? `, ${one.dose}` : ""}`, entry.fields.given[one.key] !== false, (isOn) => {
    entry.fields.given[one.key] = isOn;
    app.noteDraft();
  }));
  const days = products.map((one) => `${one.name}: ${Number.isInteger(one.withdrawal_days) ? `${one.withdrawal_days} days by the label` : "days not known"}`);
  return [h("div.field", { role: "group", "aria-label": "Given" }, h("span.label", null, "Given"), rows,
    h("p.hint", null, `Meat withdrawal, ${days.join("; ")}. Follow the label and your veterinarian.`,
      card?.in_withdrawal ? " It is in withdrawal already." : ""))];
}

function sample(app) {
  const input = typed(app, "tube", { maxlength: 24, autocapitalize: "off" });
  return [h("div.field", null, field("Sample tube", input), cameraButton((code) => {
    input.value = code;
    input.dispatchEvent(new Event("input", { bubbles: true }));
  }))];
}

function newTag(app) {
  const { entry, card } = app.current;
  if (!card) return [];
  const told = h("p.fault", { role: "status" });
  const input = h("input", {
    value: entry.newTag?.number ?? "", autocomplete: "off", autocapitalize: "characters", maxlength: 24, name: "new_tag",
    onchange: (event) => {
      const text = event.target.value.trim();
      const read = text ? readNumber(text) : null;
      told.textContent = read?.fault ?? "";
      entry.newTag = read && !read.fault ? read : null;
      app.noteDraft();
    },
  });
  return [field("New tag put on", input, "Scan or type its number; the colour behind it, as 417 yellow."), told];
}

function score(app) {
  const { entry } = app.current;
  const scores = [1, 2, 3, 4, 5, 6, 7, 8, 9].map((one) => [String(one), String(one)]);
  return [choice("Body condition, 1 to 9", scores, entry.fields.score, (value) => {
    entry.fields.score = value;
    app.noteDraft();
  })];
}

function weaning(app) {
  return [flag(app, "weaned", "Weaned")];
}

function move(app) {
  const { work } = app.today;
  return work.moveTo ? [flag(app, "moved", `To ${app.herd.groupName(work.moveTo)}`)] : [];
}

function sale(app) {
  const { entry, card } = app.current;
  const until = card?.free_on ? ` until ${card.free_on}` : "";
  const caution = h("div.note.bad", null, h("p", null, h("strong", null, `In withdrawal${until}. It must not go to slaughter.`), " Follow the label and your veterinarian."),
    field("It is sold all the same because", typed(app, "despite", { maxlength: 120, "data-text": true })));
  caution.hidden = !(entry.fields.sold && card?.in_withdrawal);
  const turn = (isOn) => {
    caution.hidden = !(isOn && card?.in_withdrawal);
    if (!caution.hidden) app.voice.sound("caution");
  };
  return [flag(app, "sold", "Sold today", turn), caution];
}

function note(app) {
  return [field("Note", typed(app, "note", { maxlength: 200, "data-text": true }))];
}

function flag(app, key, label, after = () => {}) {
  const { entry } = app.current;
  return h("div.field", null, toggle(label, Boolean(entry.fields[key]), (isOn) => {
    entry.fields[key] = isOn;
    app.noteDraft();
    after(isOn);
  }));
}

/** @type {[string, (app: import("./app.js").App) => HTMLElement[]][]} */
const FIELDS = [
  ["weight", weight], ["pregnancy_check", pregnancy], ["medicine", medicine], ["sample", sample], ["new_tag", newTag],
  ["body_condition", score], ["weaning", weaning], ["move", move], ["sale", sale], ["note", note],
];
