/** What is being entered for the animal in the chute, and the operations that it becomes when it is kept. */

import { newId } from "./identity.js";
import { doubtOfWeight, readWeight } from "./judging.js";

// The longest pregnancy that the record takes for one, in days (herd.values.pregnancy).
export const LONGEST_DAYS = 305;
// As many digits of an EID behind a weight are no chance any more; one is.
const ENDS = [2, 3];
const RESULTS = { pregnant: "bred", open: "open", recheck: "recheck" };

/** A new entry. @param {any} card null for a number that is not here @param {any} read the number as it came @param {any} work */
export function newEntry(card, read, work) {
  const given = Object.fromEntries((work.products ?? []).map((one) => [one.key, true]));
  return {
    id: newId(),
    animal: card?.id ?? "",
    read,
    fields: { weight: "", result: "", days: "", tube: "", score: "", note: "", given, weaned: true, moved: true, sold: false, despite: "" },
    tags: [],
    newTag: null,
    piece: "",
    sure: false,
    register: "",
  };
}

/** Whom the operations name: our id, or the number that was read. @param {any} entry */
export function subjectOf(entry) {
  if (entry.animal) return { subject: { animal: entry.animal }, who: `animal:${entry.animal}` };
  const { kind, number, colour } = entry.read;
  const named = { [kind]: number, ...(kind === "vid" && colour ? { vid_colour: colour } : {}) };
  return { subject: named, who: [kind, number, kind === "vid" ? colour : ""].filter(Boolean).join(":") };
}

/**
 * What the entry becomes: operations, what is said of them, and what could not be kept and has to be looked at.
 * @param {any} entry @param {any} card @param {any} work @param {{unit: string, today: string, starts?: Set<string>, isByHand?: boolean}} here
 * @returns {{drafts: any[], said: string[], asides: any[]}}
 */
export function drawUp(entry, card, work, here) {
  const kept = { drafts: [], said: [], asides: [] };
  const named = entry.register ? registration(entry, work, kept) : subjectOf(entry);
  const event = (kind, data) => kept.drafts.push({ kind: "event", who: named.who, members: { subject: named.subject, data: { kind, data } } });
  tags(entry, named, kept);
  for (const task of TASKS) if (work.tasks.includes(task.key)) task.keep(entry, { card, work, here, event, kept, named });
  return kept;
}

function registration(entry, work, kept) {
  const id = newId();
  const { kind, number, colour = "" } = entry.read;
  const data = { facts: { entry_class: entry.register }, tags: [{ kind, number, colour: kind === "vid" ? colour : "" }], ...(work.group ? { group: work.group } : {}) };
  const named = { subject: { animal: id }, who: `animal:${id}` };
  kept.drafts.push({ kind: "animal.register", who: named.who, members: { subject: named.subject, data } });
  kept.said.push(`new ${entry.register}`);
  kept.animal = id;
  return named;
}

function tags(entry, named, kept) {
  for (const one of entry.tags) {
    const data = { kind: one.kind, number: one.number, ended: one.ended };
    if (one.fresh) Object.assign(data, { new_number: one.fresh, colour: one.colour ?? "" });
    kept.drafts.push({ kind: "tag.off", who: named.who, members: { subject: named.subject, data } });
    kept.said.push(one.fresh ? `${one.number} replaced by ${one.fresh}` : `tag ${one.number} ${one.ended}`);
  }
  if (!entry.newTag) return;
  const { kind, number, colour = "" } = entry.newTag;
  kept.drafts.push({ kind: "tag.on", who: named.who, members: { subject: named.subject, data: { kind, number, colour } } });
  kept.said.push(`new tag ${number}`);
}

/** What can be done today, in the order in which the chute works; `keep` turns the fields into operations. */
export const TASKS = [
  { key: "weight", label: "Weight", keep: keepWeight },
  { key: "pregnancy_check", label: "Pregnancy check", keep: keepCheck },
  { key: "medicine", label: "Treatment or vaccine", keep: keepMedicine },
  { key: "sample", label: "Sample tube", keep: keepSample },
  { key: "new_tag", label: "New tag", keep: () => {} },
  { key: "body_condition", label: "Body condition", keep: keepScore },
  { key: "weaning", label: "Weaning", keep: keepWeaning },
  { key: "move", label: "Move to a group", keep: keepMove },
  { key: "sale", label: "Sale", keep: keepSale },
  { key: "note", label: "Note", keep: keepNote },
];

function keepWeight(entry, { card, here, event, kept }) {
  const text = entry.fields.weight.trim();
  if (!text) return;
  const read = readWeight(text, here.unit);
  const doubt = read.fault ?? (entry.sure ? "" : doubtOfEntry(entry, card, read.weight, here));
  if (doubt) {
    kept.asides.push({ field: "weight", value: text, unit: here.unit, reason: doubt, isFault: Boolean(read.fault) });
    return;
  }
  event("weight", { weight: read.weight, unit: here.unit });
  kept.said.push(`${read.weight} ${here.unit}`);
}

/** A sentence about a weight as entered that needs a person's word, empty where none does. */
export function doubtOfEntry(entry, card, weight, here) {
  const text = entry.fields.weight.trim();
  if (isPiece(text, entry, here)) return `${text} may be a piece of a scanned number.`;
  return doubtOfWeight(card, weight, here.unit, here.today);
}

/** Whether a reader's keys are in it, or it ends, with no person's word, as the EIDs here begin. */
function isPiece(text, { piece }, { starts = new Set(), isByHand }) {
  if (piece && text.includes(piece)) return true;
  if (isByHand) return false;
  return [...starts].some((start) => start.startsWith(text) || ENDS.some((size) => text.endsWith(start.slice(0, size))));
}

function keepCheck(entry, { event, kept }) {
  const { result, days } = entry.fields;
  if (!result) return;
  const data = { result };
  if (result === "pregnant" && /^\d{1,3}$/.test(days) && Number(days) >= 1 && Number(days) <= LONGEST_DAYS) data.days = Number(days);
  else if (result === "pregnant" && days) kept.asides.push({ field: "days", value: days, reason: `“${days}” days bred can't be: 1 to ${LONGEST_DAYS}.`, isFault: true });
  event("pregnancy_check", data);
  kept.said.push(RESULTS[result] + (data.days ? ` ${data.days} days` : ""));
}

function keepMedicine(entry, { work, event, kept }) {
  for (const one of work.products ?? []) {
    if (!entry.fields.given[one.key]) continue;
    const data = { product: one.name };
    for (const key of ["dose", "route", "lot", "veterinarian", "given_by"]) if (one[key]) data[key] = one[key];
    if (Number.isInteger(one.withdrawal_days)) data.withdrawal_days = one.withdrawal_days;
    event(one.is_vaccine ? "vaccination" : "treatment", data);
    kept.said.push(one.name);
  }
}

function keepSample(entry, { event, kept }) {
  const tube = entry.fields.tube.trim();
  if (!tube) return;
  if (tube.length < 4 || tube.length > 20) {
    kept.asides.push({ field: "tube", value: tube, reason: `“${tube}” is no code of a tube: 4 to 20 characters.`, isFault: true });
    return;
  }
  event("sample", { tube });
  kept.said.push(`tube ${tube}`);
}

function keepScore(entry, { event, kept }) {
  if (!entry.fields.score) return;
  event("body_condition", { score: entry.fields.score });
  kept.said.push(`condition ${entry.fields.score}`);
}

function keepWeaning(entry, { event, kept }) {
  if (!entry.fields.weaned) return;
  event("weaning", {});
  kept.said.push("weaned");
}

function keepMove(entry, { card, work, kept, named }) {
  if (!entry.fields.moved || !work.moveTo || card?.group === work.moveTo) return;
  kept.drafts.push({ kind: "move", who: named.who, members: { subject: named.subject, data: { group: work.moveTo } } });
  kept.said.push("moved");
}

function keepSale(entry, { card, event, kept }) {
  if (!entry.fields.sold) return;
  if (card?.in_withdrawal && !entry.fields.despite.trim()) {
    kept.asides.push({ field: "sold", value: "sale", reason: "It is in withdrawal: say why it is sold all the same, or leave the sale out.", isFault: true });
    return;
  }
  event("sale", entry.fields.despite.trim() ? { despite_withdrawal: entry.fields.despite.trim() } : {});
  kept.said.push("sold");
}

function keepNote(entry, { event, kept }) {
  const note = entry.fields.note.trim();
  if (!note) return;
  event("note", { note });
  kept.said.push("note");
}
