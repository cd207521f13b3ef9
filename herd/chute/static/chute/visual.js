/** Reads the number on a visual tag, with a colour that stands beside it; see herd.values.visual. */

const LONGEST = 20;
const LONGEST_CELL = 300;
const MISSING = new Set(["", "-", "--", "–", "—", "n/a", "na", "nan", "none", "null", ".", "?", "nil", "unknown", "unk"]);
const LABEL = /^(?:(?:(?:EAR ?)?TAG|VISUAL|NUMBER|NO|NR|Nº|№)[ .:#]+|# ?)+(?=\S)/;
const COLOUR_LAST = /^(\S*\d\S*?) ?[ \-/,(] ?(\p{L}{2,12}|(?<=\()\p{L})\)?$/u;
const COLOUR_FIRST = /^\(?(\p{L}{2,12}|(?<=\()\p{L}) ?[ \-/,)] ?(\S*\d\S*)$/u;
const SCIENTIFIC = /^(?:[+-]?\d+(?:[.,]\d+)?[eE][+-]\d{1,3}|[+-]?\d+[.,]\d+[eE]\d{1,2})$/;
const DATES = /^(?:\d{4}-\d{1,2}-\d{1,2}|\d{1,2}\/\d{1,2}\/(?:\d{4}|\d{2})|\d{1,2}[.-]\d{1,2}[.-]\d{4}|\d{1,2}-(?:JAN|FEB|MAR|APR|MAY|JUN|JUL|AUG|SEP|OCT|NOV|DEC)(?:-\d{2,4})?|(?:JAN|FEB|MAR|APR|MAY|JUN|JUL|AUG|SEP|OCT|NOV|DEC)-\d{1,4})$/;
const QUOTES = ['""', "''", "“”", "‘’", "«»"];

// Dictionary words of five languages; the short forms are common practice, no source.
const WORDS = {
  yellow: "y yl yel yell yellow amarillo amarilla amar jaune gelb amarelo amarela",
  white: "w wh wht white blanco blanca blanc blanche weiss branco branca",
  orange: "o or org orn orange naranja anaranjado anaranjada laranja",
  blue: "b blu blue azul bleu bleue blau",
  green: "g gn grn green verde vert verte grun gruen",
  red: "r rd red rojo roja rouge rot vermelho vermelha",
  pink: "pk pnk pink rosa rosado rosada rose",
  purple: "pu pr pur prp purp purple violet morado morada violeta purpura violette lila violett roxo roxa",
  black: "bk blk black negro negra noir noire schwarz preto preta",
  brown: "br brn brown marron cafe brun brune braun marrom castanho castanha",
  grey: "gy gry gra grey gray gris grise grau cinza cinzento cinzenta",
};
const COLOUR_OF = new Map(Object.entries(WORDS).flatMap(([colour, words]) => words.split(" ").map((word) => [word, colour])));
export const COLOURS = Object.keys(WORDS);

/** @param {string} reason */
export function refuse(reason) {
  return new Error(reason);
}

/** What is inside text guards: control and zero-width marks, quotes, ="...", a leading apostrophe. @param {string} text */
export function stripGuards(text) {
  let inner = text.replace(/[\t\n\v\f\r\x85\xa0\u1680\u2000-\u200a\u2028\u2029\u202f\u205f\u3000]/g, " ");
  inner = inner.replace(/[\x00-\x1f\x7f-\x9f\xad\u180e\u200b-\u200f\u202a-\u202e\u2060\u2066-\u2069\ufeff]/g, "").trim();
  for (;;) {
    const opened = withoutOneGuard(inner);
    if (opened === inner) return inner;
    inner = opened;
  }
}

function withoutOneGuard(text) {
  const formula = /^=\s*"(.*)"\s*$/.exec(text);
  if (formula) return formula[1].trim();
  if (text.length > 1 && QUOTES.includes(text[0] + text.at(-1))) return text.slice(1, -1).trim();
  return text.length > 1 && /^['’]/.test(text) ? text.slice(1).trim() : text;
}

/** Without the mark of a barcode's kind, such as ]C1. @param {string} text */
export function stripScanner(text) {
  return /^\][A-Za-z][0-9A-Za-z]/.test(text) ? text.slice(3) : text;
}

/** The number and colour of a visual tag; throws an Error with a sentence. @param {string} text */
export function readVisual(text) {
  if (text.length > LONGEST_CELL) throw refuse("That is no tag number: it is too long.");
  let number = stripScanner(stripGuards(text)).split(/\s+/).filter(Boolean).join(" ").toUpperCase();
  if (MISSING.has(stripGuards(number).toLowerCase())) throw refuse("The tag number is empty.");
  if (/^#{2,}$|^#[A-Z/!?0]+[!?A]$/.test(number)) throw refuse(`${number} is a spreadsheet's mark, not a tag number.`);
  if (DATES.test(number)) throw refuse(`${number} looks like a date, not a tag number.`);
  if (SCIENTIFIC.test(number)) throw refuse(`${number} was turned into another number by a spreadsheet.`);
  if (/^\d{15}(?:\.0+)?$/.test(number) || /^\d{15}$/.test(number.replace(/[ ._/-]+/g, ""))) {
    throw refuse(`${number} is an electronic number, not the number on a visual tag.`);
  }
  const whole = /^(\d+)\.0+$/.exec(number);
  number = whole ? whole[1] : number.replace(LABEL, "");
  const tag = splitColour(number);
  if (!/[\p{L}\p{N}]/u.test(tag.number)) throw refuse(`“${text}” holds no number or letter.`);
  if (tag.number.length > LONGEST) throw refuse(`“${text}” is longer than the ${LONGEST} characters of a tag.`);
  return tag;
}

function splitColour(number) {
  const last = COLOUR_LAST.exec(number);
  if (last && colourOf(last[2])) return { number: last[1], colour: colourOf(last[2]) };
  const first = COLOUR_FIRST.exec(number);
  if (first && colourOf(first[1])) return { number: first[2], colour: colourOf(first[1]) };
  return { number, colour: "" };
}

function colourOf(word) {
  return COLOUR_OF.get(word.normalize("NFKD").toLowerCase().replace(/ß/g, "ss").replace(/\p{M}/gu, "")) ?? "";
}
