/** Enrols the device: a one-time code for a token, which is kept before anything else. */

import { Refused } from "./wire.js";

/** A code that a link brought along after its #, which no server gets to see. */
export function codeOfAddress() {
  return new URLSearchParams(location.hash.slice(1)).get("enrol") ?? "";
}

/**
 * Get a token for a code and keep it; raises Refused, Offline, NotStored.
 * @param {import("./store.js").Store} store @param {import("./wire.js").Wire} wire @param {string} code
 * @param {Record<string, any>} meta @param {number} unsent
 */
export async function enrol(store, wire, code, meta, unsent) {
  const told = await wire.post("enrol/", JSON.stringify({ code: code.trim() }));
  if (meta.outfit && meta.outfit !== told.outfit && unsent) {
    throw new Refused(403, { detail: `${unsent} unsent entries here belong to ${meta.outfit}, and that code to ${told.outfit}. Send or save them first.` });
  }
  const isOther = meta.outfit && meta.outfit !== told.outfit;
  const kept = { token: told.token, device: told.device, device_name: told.name, role: told.role, outfit: told.outfit, learned_on: "" };
  // What another device's eyes may read can differ, so that the copy is taken anew; the outbox stays.
  const anew = isOther || meta.device !== told.device ? { cursor: "" } : {};
  await store.put({ ...kept, ...anew });
  Object.assign(meta, kept, anew);
}
