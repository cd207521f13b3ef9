/** What matters of an animal at the chute, in words. */

import { daysBetween } from "./judging.js";

const DAY = 86_400_000;
// Days of gestation where no breed is known, and how long after the expected day she is still told: the usual spread
// and a month (herd.values.policy, herd.reports.due).
export const GESTATION = 283;
export const OVERDUE = 42;
const STATUS = { sold: "SOLD", dead: "DEAD", missing: "recorded as MISSING", transferred: "TRANSFERRED" };
const RESULTS = { pregnant: "bred", open: "open", recheck: "recheck" };

/** The name by which an animal is called: its visual tag and colour, else the end of its EID. @param {any} card */
export function nameOf(card) {
  const vid = card.tags.find((tag) => tag.kind === "vid");
  if (vid) return `${vid.number}${vid.colour ? ` ${vid.colour}` : ""}`;
  const tag = card.tags[0];
  return tag ? `…${tag.number.slice(-4)}` : `${card.class} without a tag`;
}

/** An EID as people read it: country, then fours. @param {string} number */
export function spaced(number) {
  return number.length === 15 ? `${number.slice(0, 3)} ${number.slice(3, 7)} ${number.slice(7, 11)} ${number.slice(11)}` : number;
}

/** The same with days that are not broken at the end of a line. @param {string} text */
export function whole(text) {
  return text.replace(/(?<=\d)-(?=\d)/g, "\u2011");
}

/** @param {string} born @param {string} precision @param {string} today */
export function ageOf(born, precision, today) {
  if (!born) return "age not known";
  const days = daysBetween(born, today);
  if (precision === "year" || days > 900) return `${Math.floor(days / 365.25)} years`;
  if (days > 120) return `${Math.floor(days / 30.44)} months`;
  return `${days} days`;
}

/**
 * Facts as pairs of a word and what it is.
 * @param {any} card @param {{today: string, groupName: (id: string) => string}} here @returns {[string, string][]}
 */
export function factsOf(card, here) {
  const facts = [["Class", `${card.class}, ${ageOf(card.born_on, card.born_precision, here.today)}`]];
  facts.push(["Last weight", lastWeight(card, here.today)]);
  const { pregnancy } = card;
  if (pregnancy) facts.push(["Pregnancy", `${RESULTS[pregnancy.result] ?? pregnancy.result}${pregnancy.days ? ` ${pregnancy.days} days` : ""} on ${pregnancy.on}`]);
  const due = dueOf(card, here.today);
  if (due) facts.push(["Due", `about ${due}`]);
  if (card.group) facts.push(["Group", here.groupName(card.group)]);
  for (const tag of card.tags) {
    if (tag.kind === "eid") facts.push(["EID", spaced(tag.number)]);
    else if (tag.kind !== "vid") facts.push(["Other tag", tag.number]);
  }
  return facts;
}

/**
 * When a calf is expected, as the record says; by the days bred of a check that is only here yet; empty where unknown.
 * @param {any} card @param {string} today
 */
export function dueOf(card, today) {
  const due = card.due_on === undefined ? dueByCheck(card.pregnancy ?? {}) : card.due_on;
  return !due || daysBetween(due, today) > OVERDUE ? "" : due;
}

function dueByCheck({ result, days, on }) {
  if (result !== "pregnant" || !days || !on) return "";
  return new Date(Date.parse(on) + (GESTATION - days) * DAY).toISOString().slice(0, 10);
}

function lastWeight(card, today) {
  const [last, before] = card.weights ?? [];
  if (!last) return "none yet";
  const when = last.on === today ? "today" : `on ${last.on}`;
  const gain = before && gainOf(last, before);
  return `${last.weight} ${last.unit} ${when}${gain ? `, ${gain}` : ""}`;
}

function gainOf(last, before) {
  const days = daysBetween(before.on, last.on);
  if (days < 1 || last.unit !== before.unit) return "";
  const gain = (Number(last.weight) - Number(before.weight)) / days;
  return `${gain < 0 ? "" : "+"}${gain.toFixed(2)} ${last.unit} a day`;
}

/**
 * What has to be seen before anything is entered, each with how loud it is.
 * @param {any} card @param {{work: any, earlier: any, today: string, groupName: (id: string) => string}} here @returns {{text: string, kind: "bad" | "warn"}[]}
 */
export function cautionsOf(card, here) {
  const found = [];
  if (card.status !== "on_hand") {
    found.push({ kind: "bad", text: `${STATUS[card.status] ?? card.status}${card.status_since ? ` since ${card.status_since}` : ""}` });
  }
  if (card.in_withdrawal) {
    const until = card.free_on ? `until ${card.free_on}` : "until the label's days have passed";
    found.push({ kind: "bad", text: `IN WITHDRAWAL ${until}` });
  }
  if (here.work.group && card.group !== here.work.group) {
    found.push({ kind: "warn", text: `Not of this group: ${card.group ? here.groupName(card.group) : "in no group"}` });
  }
  if (here.earlier) {
    const said = here.earlier.said.join(", ");
    found.push({ kind: "warn", text: `Already through today${said ? `: ${said}` : ""}` });
  } else if (here.work.tasks.includes("weight") && card.weights?.[0]?.on === here.today) {
    found.push({ kind: "warn", text: `Weighed today already: ${card.weights[0].weight} ${card.weights[0].unit}` });
  } else if (here.work.tasks.includes("pregnancy_check") && card.pregnancy?.on === here.today) {
    found.push({ kind: "warn", text: `Checked today already: ${RESULTS[card.pregnancy.result] ?? card.pregnancy.result}` });
  }
  return found;
}
