/** A lost tag in two touches, and the tag that takes its place by the next scan or by typing. */

import { spaced } from "./cardfacts.js";
import { button, field, h } from "./element.js";
import { readNumber } from "./numbers.js";

/** @param {import("./app.js").App} app */
export function tagsView(app) {
  const { card, entry } = app.current;
  if (!card?.tags.length) return h("div.tags");
  const waiting = entry.tags.map((one) => lostView(app, one));
  const left = card.tags.filter((tag) => !entry.tags.some((one) => one.kind === tag.kind && one.number === tag.number));
  const pick = h("div.stack", { hidden: true, id: "lost" }, left.map((tag) => button(`${wordOf(tag)} is lost`, () => {
    entry.tags.push({ kind: tag.kind, number: tag.number, colour: tag.colour ?? "", ended: "lost", fresh: "" });
    app.noteDraft();
    app.voice.say("Scan the new tag, or go on");
    app.render();
    document.getElementById("fresh")?.focus();
  }, "wide")));
  const open = button("Tag lost", () => {
    pick.hidden = !pick.hidden;
    open.setAttribute("aria-expanded", String(!pick.hidden));
    pick.querySelector("button")?.focus();
  }, "", { "aria-expanded": "false", "aria-controls": "lost", id: "tag-lost" });
  return h("div.tags", null, waiting, left.length ? open : null, pick);
}

function wordOf(tag) {
  return tag.kind === "eid" ? `EID ${spaced(tag.number)}` : `Tag ${tag.number}${tag.colour ? ` ${tag.colour}` : ""}`;
}

function lostView(app, one) {
  const told = h("p.fault", { role: "status" });
  const input = h("input", {
    id: "fresh", value: one.fresh, autocomplete: "off", autocapitalize: "characters", maxlength: 24,
    inputmode: one.kind === "eid" ? "numeric" : "text",
    onchange: (event) => {
      const text = event.target.value.trim();
      const read = text ? readNumber(text) : null;
      const isFit = read && !read.fault && (read.kind === "eid") === (one.kind === "eid");
      const wearers = isFit ? app.herd.wearing(one.kind, read.number, read.colour) : [];
      told.textContent = read?.fault ?? (text && !isFit ? `A ${one.kind === "eid" ? "15-digit EID" : "visual tag"} takes its place.` : wearers.length ? "Another animal here wears that number; the office will decide." : "");
      one.fresh = isFit ? read.number : "";
      if (isFit && read.colour) one.colour = read.colour;
      app.noteDraft();
    },
  });
  const back = button("It is not lost", () => {
    app.current.entry.tags = app.current.entry.tags.filter((other) => other !== one);
    app.noteDraft();
    app.render();
  }, "quiet");
  return h("div.note.warn", null, h("p", null, h("strong", null, one.fresh ? `${wordOf(one)} replaced by ${spaced(one.fresh)}` : `${wordOf(one)} is lost.`)),
    field("New tag in its place, scanned or typed; empty for none", input), told, back);
}
