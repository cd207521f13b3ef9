/** Today: the group, what is done to each animal, and how the page answers. */

import { button, field, h, toggle } from "./element.js";
import { TASKS } from "./entry.js";

/** @param {import("./app.js").App} app */
export function setupView(app) {
  const { work } = app.today;
  const chosen = structuredClone(work);
  const details = h("div.stack");
  const draw = () => details.replaceChildren(...detailsOf(app, chosen));
  const groups = select(app.herd.rows("group").filter((one) => !one.is_closed || one.id === work.group), chosen.group, "Any group", (value) => { chosen.group = value; });
  groups.id = "group";
  const tasks = TASKS.map((task) => toggle(task.label, chosen.tasks.includes(task.key), (isOn) => {
    chosen.tasks = isOn ? [...chosen.tasks, task.key] : chosen.tasks.filter((one) => one !== task.key);
    draw();
  }));
  draw();
  const told = h("p.fault", { role: "alert" });
  return h("section.stack", { "aria-labelledby": "title" },
    h("h1", { id: "title", tabindex: "-1" }, "Today"),
    app.meta.right === "read" ? h("p.note.bad", null, "This device may read only: nothing that is entered on it gets into the record. Ask the office for another code.") : null,
    app.herd.base.size ? null : h("p.note.warn", { id: "copying" }, copyWord(app)),
    field("Group worked", groups),
    h("div.field", { role: "group", "aria-label": "What is done" }, h("span.label", null, "What is done to each"), h("div.choices.tasks", null, tasks)),
    details, told,
    button("Start", () => start(app, chosen, told), "primary big", { id: "start" }),
    answersView(app));
}

function copyWord(app) {
  return app.sync.state === "sent" ? "There are no animals that this device may read." : `The herd is not on this device yet. ${app.sync.said}`;
}

async function start(app, chosen, told) {
  chosen.products = chosen.tasks.includes("medicine") ? chosen.products : [];
  if (chosen.tasks.includes("medicine") && !chosen.products.length) {
    told.textContent = "Choose what is given, or take the treatment out.";
    return;
  }
  if (chosen.tasks.includes("move") && !chosen.moveTo) {
    told.textContent = "Choose the group that they move to.";
    return;
  }
  const unnamed = chosen.products.find((one) => one.needs_prescription && !one.veterinarian?.trim());
  if (unnamed) {
    told.textContent = `${unnamed.name} is given on prescription: name the veterinarian.`;
    return;
  }
  const short = chosen.products.find((one) => Number.isInteger(one.label_days) && one.withdrawal_days < one.label_days && !one.veterinarian?.trim());
  if (short) {
    told.textContent = `The label of ${short.name} has ${short.label_days} days. Fewer need the veterinarian who set them.`;
    return;
  }
  try {
    await app.today.choose(chosen);
    app.show("work");
  } catch (problem) {
    app.failed(problem);
  }
}

function select(rows, value, none, onchoose) {
  return h("select", { onchange: (event) => onchoose(event.target.value) },
    h("option", { value: "" }, none), rows.map((one) => h("option", { value: one.id, selected: one.id === value }, one.name)));
}

function detailsOf(app, chosen) {
  const found = [];
  if (chosen.tasks.includes("medicine")) found.push(productsView(app, chosen));
  if (chosen.tasks.includes("move")) {
    const to = select(app.herd.rows("group").filter((one) => !one.is_closed), chosen.moveTo, "Choose", (value) => { chosen.moveTo = value; });
    found.push(field("They move to", to));
  }
  return found;
}

function productsView(app, chosen) {
  const box = h("fieldset.stack");
  const add = select(app.herd.rows("product").filter((one) => !one.is_retired && !chosen.products.some((other) => other.key === one.id)), "", "Choose a product", (id) => {
    const product = app.herd.lists.product.get(id);
    if (product) chosen.products.push(presetOf(product));
    box.replaceWith(productsView(app, chosen));
  });
  add.id = "product";
  box.append(h("legend", null, "Given to each"), ...chosen.products.map((one) => productView(app, chosen, one, box)), field("Add a product", add),
    h("p.hint", null, "Doses and withdrawal are the label’s, or your veterinarian’s where it is used otherwise. Read the label before you give it."));
  return box;
}

function presetOf(product) {
  const days = product.meat_withdrawal_days;
  return {
    key: product.id, name: product.name, is_vaccine: product.is_vaccine, needs_prescription: product.needs_prescription,
    dose: product.dose ?? "", route: product.route ?? "", lot: "", veterinarian: "", label_days: days, withdrawal_days: days,
  };
}

function productView(app, chosen, one, box) {
  const text = (key, label, more = {}) => field(label, h("input", { value: one[key] ?? "", maxlength: 60, "data-text": true, autocomplete: "off", oninput: (event) => { one[key] = event.target.value.trim(); }, ...more }));
  const days = text("withdrawal_days", "Meat withdrawal, days", { inputmode: "numeric", maxlength: 3, oninput: (event) => {
    one.withdrawal_days = /^\d{1,3}$/.test(event.target.value.trim()) ? Number(event.target.value) : null;
  } });
  const without = button("Take it out", () => {
    chosen.products = chosen.products.filter((other) => other !== one);
    box.replaceWith(productsView(app, chosen));
  }, "quiet");
  return h("div.product", null, h("strong", null, one.name),
    h("div.pair", null, text("dose", "Dose"), text("route", "Route"), text("lot", "Lot number"), days),
    one.needs_prescription || one.veterinarian ? text("veterinarian", "Veterinarian") : text("veterinarian", "Veterinarian, where one set it"), without);
}

function answersView(app) {
  const turn = (key) => (isOn) => {
    app.voice[key] = isOn;
    app.store.put({ [key]: isOn }).catch((problem) => app.failed(problem));
  };
  return h("div.field", { role: "group", "aria-label": "Answers" }, h("span.label", null, "The page answers by"),
    h("div.choices", null, toggle("Sounds", app.voice.sounds, turn("sounds")), toggle("Spoken words", app.voice.speech, turn("speech")),
      toggle("Keys on the screen", app.pad.isOn, (isOn) => app.pad.turn(isOn))));
}
