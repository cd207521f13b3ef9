/** New identities: UUIDs of version 7 (RFC 9562, section 5.7), rising within one page. */

let last = 0;
let count = 0;

/** A new id. It is made with getRandomValues, which also pages without https have. */
export function newId() {
  const now = Date.now();
  if (now > last) [last, count] = [now, crypto.getRandomValues(new Uint16Array(1))[0] & 0x7ff];
  else count += 1;
  if (count > 0xfff) [last, count] = [last + 1, 0];
  const random = crypto.getRandomValues(new Uint8Array(8));
  random[0] = 0x80 | (random[0] & 0x3f);
  const tail = [...random].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  const head = last.toString(16).padStart(12, "0") + "7" + count.toString(16).padStart(3, "0");
  return `${head.slice(0, 8)}-${head.slice(8, 12)}-${head.slice(12)}-${tail.slice(0, 4)}-${tail.slice(4)}`;
}
