/** Tells a reader that types like a keyboard from fingers, and keeps its numbers out of whatever has the focus. */

import { isWhole, readNumber, splitBurst, trailingEids } from "./numbers.js";

// Milliseconds between two keys of a reader at most; fingers are slower over so many keys.
const GAP = 45;
const FEWEST = 6;
// So long a silence ends numbers that are whole.
const REST = 100;
// A reader whose machine stalls goes on within this; a longer silence ends whatever was typed.
export const PAUSE = 1000;
// Digits that are no EID are a piece of one, but for a few of them with a carriage return: a visual tag's number.
const PIECE = /^[\d .-]+$/;
const LONGEST_VISUAL = 7;

/** A field into which text is typed. @param {EventTarget | null} target @returns {target is HTMLInputElement} */
function isField(target) {
  return target instanceof HTMLInputElement || target instanceof HTMLTextAreaElement;
}

/** Keys with no long silence between them are one run: it is judged as a whole, whatever went into a field meanwhile. */
export class Wedge {
  /**
   * @param {(number: string) => void} onnumber takes each number, in the order in which they came
   * @param {(text: string) => void} onpiece takes what is only a piece of one
   */
  constructor(onnumber, onpiece) {
    Object.assign(this, { onnumber, onpiece, slow: 0, timer: 0 });
    this.forget();
    document.addEventListener("keydown", (event) => this.key(event), true);
    document.addEventListener("beforeinput", (event) => this.insert(event), true);
    document.addEventListener("input", (event) => this.slowly(event), true);
  }

  forget() {
    clearTimeout(this.timer);
    const nothing = { text: "", isBurst: false, isPure: false, isFast: false, fast: 0, last: -Infinity };
    Object.assign(this, nothing, { target: null, field: null, before: "", after: "" });
  }

  /** @param {KeyboardEvent} event */
  key(event) {
    if (event.isComposing || event.ctrlKey || event.altKey || event.metaKey || isForLists(event.target)) return;
    const gap = event.timeStamp - this.last;
    if (gap > PAUSE) this.finish();
    if (event.key === "Enter" || event.key === "Tab") this.end(event, gap);
    else if (event.key.length === 1) this.add(event, gap);
    // Who corrects or moves about has fingers; what stands in the field then is what they left.
    else if (!this.isBurst && /^(Backspace|Delete|Arrow|Home|End)/.test(event.key)) this.forget();
  }

  add(event, gap) {
    if (this.text && !this.isBurst && event.target !== this.target) this.finish();
    // Behind a number that was handed on there are the rest of the reader's keys, or fingers again.
    if (!this.text && !(this.isBurst && gap <= GAP)) this.begin(event.target);
    this.last = event.timeStamp;
    this.text += event.key;
    this.fast = gap <= GAP ? this.fast + 1 : 1;
    if (!this.isBurst && this.fast >= FEWEST && /\d/.test(this.text)) this.catch();
    if (this.isBurst) stop(event);
    else if (this.fast > 1 && /\d/.test(event.key)) {
      this.isFast = true;
      this.doubt(this.text);
    }
    this.wait();
  }

  begin(target) {
    this.forget();
    this.target = target;
    this.field = isField(target) ? target : null;
    const { value, selectionStart: from, selectionEnd: to } = this.field ?? { value: "", selectionStart: 0, selectionEnd: 0 };
    this.before = value.slice(0, from ?? value.length);
    this.after = value.slice(to ?? value.length);
  }

  /** From here on it is a reader: what it goes on to type reaches no field. */
  catch() {
    this.isBurst = true;
    // Where fingers were at work in the same run, they count until it is known how much is theirs.
    this.isPure = this.fast === this.text.length;
    this.restore(this.text.slice(0, -this.fast));
  }

  /** What stands in the field may be a reader's, until a person says otherwise. @param {string} text */
  doubt(text) {
    this.field?.dispatchEvent(new CustomEvent("piece", { bubbles: true, detail: text }));
  }

  /** Leave in the field only what stood there before the run, and what fingers put in. @param {string} kept */
  restore(kept) {
    const value = this.before + kept + this.after;
    if (!this.field?.isConnected || this.field.value === value) return;
    this.field.value = value;
    this.field.dispatchEvent(new Event("input", { bubbles: true }));
  }

  wait() {
    clearTimeout(this.timer);
    const digits = this.text.replace(/[ .-]/g, "");
    // A sixteenth digit may follow where the first is a flag; those wait for a silence.
    const isFlag = /^[01]/.test(digits);
    if (this.isPure && !isFlag && isWhole(digits)) this.pass(digits);
    else if (this.isPure && isFlag && digits.length === 16) this.timer = setTimeout(() => this.pass(digits), REST);
    else this.timer = setTimeout(() => this.finish(), PAUSE);
  }

  /** Hand on a number whose carriage return, or the next number, may still come. @param {string} digits */
  pass(digits) {
    this.text = "";
    this.timer = setTimeout(() => this.forget(), PAUSE);
    this.onnumber(digits);
  }

  /** Enter or Tab: a reader's where it ends a number, fingers' otherwise. */
  end(event, gap) {
    const isReaders = this.isBurst || eidsOf(this.text) || (this.isFast && gap <= GAP && this.field?.id !== "number");
    if (!isReaders) {
      this.forget();
      return;
    }
    stop(event);
    this.finish(true);
  }

  /** The run is over: its numbers come out of the field and are handed on. */
  finish(isEnded = false) {
    const { text, isBurst } = this;
    const found = text ? eidsOf(text) : null;
    const isPiece = Boolean(text) && !found && (isEnded || isBurst) && !isName(text, isBurst && isEnded);
    if (found) this.restore(found.before);
    else if (isEnded && !isBurst) this.restore("");
    else if (isPiece && this.field) this.doubt(this.field.value);
    this.forget();
    if (found) found.numbers.forEach(this.onnumber);
    else if (isPiece) this.onpiece(text);
    else if (isBurst) splitBurst(text).forEach(this.onnumber);
  }

  /** A reader that hands over its text in one piece. @param {InputEvent} event */
  insert(event) {
    const text = event.inputType === "insertText" ? event.data ?? "" : "";
    const pieces = text.length < 15 || isForLists(event.target) ? [] : splitBurst(text);
    if (!pieces.length || !pieces.every((piece) => readNumber(piece).kind === "eid")) return;
    event.preventDefault();
    pieces.forEach(this.onnumber);
  }

  /** Keys that don't say which they are, as those of a screen: no weight has fifteen digits. @param {Event} event */
  slowly(event) {
    const field = event.target;
    clearTimeout(this.slow);
    if (!isField(field) || isForLists(field) || field.dataset.text !== undefined || field.value.length < 15) return;
    this.slow = setTimeout(() => {
      const found = eidsOf(field.value);
      if (!found || !field.isConnected) return;
      field.value = found.before;
      field.dispatchEvent(new Event("input", { bubbles: true }));
      found.numbers.forEach(this.onnumber);
    }, PAUSE);
  }
}

/** Whole EIDs at the end of a text and what stands before them; null where there are none. @param {string} text */
function eidsOf(text) {
  const pieces = splitBurst(text);
  const read = pieces.map(readNumber);
  if (pieces.length && read.every((one) => one.kind === "eid")) return { before: "", numbers: pieces };
  return trailingEids(text.trim());
}

/** Whether a burst is a number of another kind, as a visual tag's or a tube's, and not what is left of an EID. */
function isName(text, isWholeBurst) {
  return !PIECE.test(text) || (isWholeBurst && text.length <= LONGEST_VISUAL) || splitBurst(text).length > 1;
}

/** Lists of numbers are typed where lists are asked for. */
function isForLists(target) {
  return target instanceof HTMLElement && target.dataset.list !== undefined;
}

function stop(event) {
  event.preventDefault();
  event.stopImmediatePropagation();
}
