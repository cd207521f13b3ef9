/** Reads numbers as they come from readers and fingers; the same number as herd.values reads, or none. */

import { COUNTRIES } from "./countries.js";
import { readVisual, refuse, stripGuards, stripScanner } from "./visual.js";

export const MAX_NATIONAL = 274_877_906_943;
const SEPARATORS = /[ ._/\-\u2010-\u2015\u2212]+/g;
const THOUSANDS = /^\d{3}(?:,\d{3}){4}$/;
const DOT_HEX = /^([0-9A-Fa-f]{3})\.([0-9A-Fa-f]{10})$/;
const LIKE = { O: "0", o: "0", I: "1", i: "1", L: "1", l: "1" };

/** @typedef {{kind: "eid" | "vid", number: string, colour?: string}} Read */

/**
 * A number as it was read or typed: an EID, else a visual tag; what looks like a damaged EID is refused, not taken
 * for a visual tag.
 * @param {string} text @returns {Read | {fault: string}}
 */
export function readNumber(text) {
  try {
    if (mightBeElectronic(text)) return { kind: "eid", number: readElectronic(text) };
    return { kind: "vid", ...readVisual(text) };
  } catch (problem) {
    return { fault: problem.message };
  }
}

/** Whether it looks like an electronic number, whole or damaged. @param {string} text */
export function mightBeElectronic(text) {
  if (/^\d{15}$/.test(text)) return true;
  if (text.length < 8 || text.length > 80) return false;
  const inner = stripScanner(stripGuards(text)).trim();
  const scientific = /^\d[.,]\d+[eE]\+?(\d{1,2})$/.exec(inner);
  if (scientific) return scientific[1] === "13" || scientific[1] === "14";
  if (DOT_HEX.test(inner) || /^\d{13,17}[.,]\d+$/.test(inner) || THOUSANDS.test(inner)) return true;
  const compact = inner.replace(SEPARATORS, "");
  const looks = /^(?:\d{14,16}|(?:0[xX])?(?:[0-9A-Fa-f]{16}|[0-9A-Fa-f]{32})|[A-Za-z]{2,3}\d{12})$/;
  return looks.test(compact) || (/^[0-9OoIiLl]{15}$/.test(compact) && compact.replace(/\D/g, "").length >= 8);
}

/** The 15 digits of an electronic number; throws an Error with a sentence. @param {string} text */
export function readElectronic(text) {
  if (/^\d{15}$/.test(text)) return lawful(text);
  const inner = stripScanner(stripGuards(text)).trim();
  if (!inner) throw refuse("The electronic number is empty.");
  const dotted = DOT_HEX.exec(inner);
  if (dotted) return written(parseInt(dotted[1], 16), parseInt(dotted[2], 16));
  const scientific = /^(\d)[.,](\d+)[eE]\+?(\d{1,2})$/.exec(inner);
  if (scientific && scientific[2].length === Number(scientific[3])) return ofDigits(scientific[1] + scientific[2]);
  if (scientific) throw refuse(`${inner} has lost digits in a spreadsheet.`);
  const floating = /^(\d{13,17})[.,](\d+)$/.exec(inner);
  if (floating && /[1-9]/.test(floating[2])) throw refuse(`${inner} is not a whole number.`);
  const compact = floating ? floating[1] : THOUSANDS.test(inner) ? inner.replaceAll(",", "") : inner.replace(SEPARATORS, "");
  if (/^\d+$/.test(compact)) return floating || compact.length !== 16 ? ofDigits(compact) : flagged(compact);
  const hex = /^(?:0[xX])?([0-9A-Fa-f]{16})$/.exec(compact);
  if (hex) return ofWord(hex[1]);
  const lettered = /^([A-Za-z]{2,3})(\d{12})$/.exec(compact);
  if (lettered) return ofCountry(lettered[1], lettered[2]);
  const swapped = [...compact].map((mark) => LIKE[mark] ?? mark).join("");
  if (/^\d{15}$/.test(swapped)) throw refuse(`${inner} has letters among its digits; it may be ${swapped}.`);
  throw refuse(`${inner} is not an electronic number of 15 digits.`);
}

function ofDigits(digits) {
  if (digits.length === 14) throw refuse(`${digits} has 14 digits; a leading zero may be lost.`);
  if (digits.length !== 15) throw refuse(`${digits} has ${digits.length} digits; an electronic number has 15.`);
  return lawful(digits);
}

/** 16 digits: one that is a flag, then the number; refused where it may as well be hexadecimal. */
function flagged(digits) {
  if (!/^[01]/.test(digits)) throw refuse(`${digits} has 16 digits; an electronic number has 15.`);
  const number = lawful(digits.slice(1));
  const [left, right] = wordsOf(digits);
  const word = bestOf(left, right);
  if (word && word.oddities === 0) throw refuse(`${digits} could be ${number} or, as hexadecimal, ${word.number}.`);
  return number;
}

function ofWord(hex) {
  const best = bestOf(...wordsOf(hex));
  if (!best) throw refuse(`${hex} is no code of a tag, or not clear.`);
  return best.number;
}

/** Both bit orders of a 64-bit code, as far as they are lawful (ISO 11784); equal ones once. */
function wordsOf(hex) {
  const word = BigInt(`0x${hex}`);
  const bits = word.toString(2).padStart(64, "0");
  const back = BigInt(`0b${[...bits].reverse().join("")}`);
  return [word, back === word ? null : back].map((one) => (one === null ? null : codeOf(one)));
}

function codeOf(word) {
  const part = (shift, size) => Number((word >> BigInt(shift)) & ((1n << BigInt(size)) - 1n));
  if (part(53, 2)) return null;
  const [prefix, national] = [part(38, 10), Number(word & ((1n << 38n) - 1n))];
  if (prefix < 1 || prefix > 999) return null;
  const odd = [!part(63, 1), part(60, 3), part(55, 5), part(50, 3), part(49, 1), part(48, 1), isUnassigned(prefix)];
  return { number: written(prefix, national), oddities: odd.filter(Boolean).length };
}

/** The one of two readings that can be meant, as herd.values.hexwords decides; null where nothing decides. */
function bestOf(left, right) {
  if (!left || !right) return left ?? right;
  if (left.oddities <= 1 && right.oddities >= left.oddities + 2) return left;
  if (right.oddities <= 1 && left.oddities >= right.oddities + 2) return right;
  return null;
}

function isUnassigned(prefix) {
  return prefix < 899 && !Object.values(COUNTRIES).includes(prefix);
}

function ofCountry(letters, national) {
  const prefix = COUNTRIES[letters.toUpperCase()];
  if (!prefix) throw refuse(`${letters} is no country known here.`);
  return lawful(String(prefix).padStart(3, "0") + national);
}

function written(prefix, national) {
  return lawful(String(prefix).padStart(3, "0") + String(national).padStart(12, "0"));
}

/** @param {string} digits fifteen of them */
function lawful(digits) {
  const [prefix, national] = [Number(digits.slice(0, 3)), Number(digits.slice(3))];
  if (digits.length !== 15 || prefix < 1) throw refuse(`${digits} begins with no country or maker.`);
  if (national > MAX_NATIONAL) throw refuse(`${digits} can't be on a tag: its last 12 digits are too high.`);
  return digits;
}

/** Whether these are fifteen digits that a tag can hold. @param {string} digits */
export function isWhole(digits) {
  try {
    return /^\d{15}$/.test(digits) && Boolean(lawful(digits));
  } catch {
    return false;
  }
}

/**
 * What a reader has typed in one burst, as single numbers: parted by line ends, tabs and semicolons, or not at all.
 * @param {string} burst @returns {string[]}
 */
export function splitBurst(burst) {
  return burst.split(/[\r\n\t;]+/).map((piece) => piece.trim()).filter(Boolean).flatMap(splitPiece);
}

/** @param {string} piece */
function splitPiece(piece) {
  const compact = piece.replace(SEPARATORS, "");
  if (!/^\d{30,}$/.test(compact)) return [piece];
  for (const size of [15, 16]) {
    if (compact.length % size) continue;
    const parts = compact.match(new RegExp(`\\d{${size}}`, "g"));
    if (parts.every((part) => (size === 15 ? isWhole(part) : /^[01]/.test(part) && isWhole(part.slice(1))))) return parts;
  }
  return [piece];
}

/**
 * Whole EIDs at the end of what stands in a field, and what stood before them; null where there are none.
 * @param {string} value
 */
export function trailingEids(value) {
  const numbers = [];
  let before = value.replace(/(\d{3}) (?=\d{12}$)/, "$1");
  while (isWhole(/\d{15}$/.exec(before)?.[0] ?? "")) {
    numbers.unshift(before.slice(-15));
    before = before.slice(0, -15).trimEnd();
  }
  return numbers.length ? { before, numbers } : null;
}
