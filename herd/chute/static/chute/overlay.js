/** Shows on top of a card what was done here and is not in it yet, marked as such. */

const LAST_WEIGHTS = 3;
const LEAVING = { sale: "sold", death: "dead", missing: "missing", transfer: "transferred" };
const MEDICINES = new Set(["treatment", "vaccination"]);

/**
 * The card with what is pending on top; null where there is neither a card nor a registration.
 * @param {any} card @param {import("./outbox.js").Row[]} pending oldest first
 * @param {(at: string) => string} dayOf the day at the ranch of a moment
 */
export function shown(card, pending, dayOf) {
  if (!pending.length) return card;
  let seen = card ? { ...card, tags: [...card.tags], weights: [...card.weights], pending: [] } : null;
  const events = new Map();
  for (const row of pending) {
    if (row.kind === "animal.register" && !seen) seen = registered(row);
    if (row.kind.startsWith("event")) follow(events, row);
    else if (seen) OTHERS[row.kind]?.(seen, row);
  }
  if (!seen) return null;
  for (const event of events.values()) putEvent(seen, event, dayOf(event.body.at));
  return seen;
}

/** Follow an event until it is voided. */
function follow(events, row) {
  if (row.kind === "event") events.set(row.op_id, row);
  else events.delete(row.body.data.event);
}

function putEvent(card, row, on) {
  const { kind, data = {} } = row.body.data;
  card.pending.push({ kind, on, data, status: row.status });
  if (kind === "weight") {
    const weight = { on, weight: data.weight, unit: data.unit, status: row.status };
    card.weights = [weight, ...card.weights].sort((one, other) => String(other.on).localeCompare(String(one.on)));
    card.weights = card.weights.slice(0, LAST_WEIGHTS);
  } else if (kind === "pregnancy_check") {
    card.pregnancy = { on, result: data.result, days: data.days, status: row.status };
    // Until the server has reckoned anew, the page counts by the check; a service or calving leaves it open.
    card.due_on = undefined;
  } else if (kind === "calving" || kind === "service") card.due_on = null;
  else if (MEDICINES.has(kind)) {
    // The server works out how long, from the days given: until then the animal is held.
    [card.in_withdrawal, card.free_on] = [true, null];
  } else if (LEAVING[kind] && row.status !== "review") card.status = LEAVING[kind];
}

function registered(row) {
  const { facts = {}, group = null } = row.body.data;
  const latest = { weights: [], pregnancy: null, in_withdrawal: false, free_on: null, pending: [] };
  return { id: row.body.subject.animal, status: "on_hand", class: facts.entry_class, tags: [], group, ...facts, ...latest };
}

/** @type {Record<string, (card: any, row: any) => void>} */
const OTHERS = {
  "animal.register": (card, row) => {
    const isWorn = (tag) => card.tags.some((one) => one.kind === tag.kind && one.number === tag.number);
    card.tags.push(...(row.body.data.tags ?? []).filter((tag) => !isWorn(tag)));
  },
  "tag.on": (card, row) => {
    const { kind, number, colour = "" } = row.body.data;
    card.tags.push({ kind, number, colour });
  },
  "tag.off": (card, row) => {
    const { kind, number, new_number: fresh, colour } = row.body.data;
    const old = card.tags.find((tag) => tag.kind === kind && tag.number === number);
    card.tags = card.tags.filter((tag) => tag !== old);
    if (fresh) card.tags.push({ kind, number: fresh, colour: colour || old?.colour || "" });
  },
  move: (card, row) => { card.group = row.body.data.group; },
};
