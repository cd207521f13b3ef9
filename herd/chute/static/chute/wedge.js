/** Tells a reader that types like a keyboard from fingers, and keeps its numbers out of whatever has the focus. */

import { isWhole, readNumber, splitBurst, trailingEids } from "./numbers.js";

// Milliseconds between two keys of a reader at most; fingers are slower over so many keys.
const GAP = 45;
const FEWEST = 6;
// So long a silence ends what a reader types without a carriage return, fast or slowly.
const REST = 100;
const SLOW_REST = 350;

/** A field into which text is typed. @param {EventTarget | null} target @returns {target is HTMLInputElement} */
function isField(target) {
  return target instanceof HTMLInputElement || target instanceof HTMLTextAreaElement;
}

export class Wedge {
  /** @param {(number: string) => void} onnumber takes each number, in the order in which they came */
  constructor(onnumber) {
    this.onnumber = onnumber;
    this.forget();
    document.addEventListener("keydown", (event) => this.key(event), true);
    document.addEventListener("beforeinput", (event) => this.insert(event), true);
    document.addEventListener("input", (event) => this.slowly(event), true);
  }

  forget() {
    clearTimeout(this.timer);
    Object.assign(this, { text: "", isBurst: false, last: -Infinity, field: null, before: "", timer: 0 });
  }

  /** @param {KeyboardEvent} event */
  key(event) {
    if (event.isComposing || event.ctrlKey || event.altKey || event.metaKey || isForLists(event.target)) return;
    if (event.key === "Enter" || event.key === "Tab") {
      if (this.isBurst) {
        stop(event);
        this.text += "\n";
        this.finish();
      } else this.forget();
      return;
    }
    if (event.key.length !== 1) return;
    const isFast = event.timeStamp - this.last <= GAP;
    this.last = event.timeStamp;
    if (!isFast && !this.isBurst) this.begin(event.target);
    this.text += event.key;
    if (!this.isBurst && this.text.length >= FEWEST && /\d/.test(this.text)) this.catch();
    if (this.isBurst) {
      stop(event);
      this.collect();
    }
  }

  begin(target) {
    this.text = "";
    this.field = isField(target) ? target : null;
    this.before = this.field ? this.field.value : "";
  }

  /** From here on it is a reader: the field gets back what it had before. */
  catch() {
    this.isBurst = true;
    this.restore(this.before);
  }

  restore(value) {
    if (!this.field || this.field.value === value) return;
    this.field.value = value;
    this.field.dispatchEvent(new Event("input", { bubbles: true }));
  }

  collect() {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.finish(), REST);
    const digits = this.text.replace(/[ .-]/g, "");
    // A sixteenth digit may follow where the first is a flag, so those wait for the silence.
    if (isWhole(digits) && !/^[01]/.test(digits)) {
      this.text = "";
      this.onnumber(digits);
    }
  }

  finish() {
    const { text, field, before } = this;
    this.forget();
    for (const piece of splitBurst(text)) {
      const rescued = "fault" in readNumber(piece) ? trailingEids(piece) : null;
      if (!rescued) this.onnumber(piece);
      else {
        // Fingers were still at work as the reader began: what they typed stays theirs.
        this.field = field;
        this.restore(before + rescued.before);
        this.field = null;
        rescued.numbers.forEach(this.onnumber);
      }
    }
  }

  /** A reader that hands over its text in one piece. @param {InputEvent} event */
  insert(event) {
    const text = event.inputType === "insertText" ? event.data ?? "" : "";
    const pieces = text.length < 15 || isForLists(event.target) ? [] : splitBurst(text);
    if (!pieces.length || !pieces.every((piece) => readNumber(piece).kind === "eid")) return;
    event.preventDefault();
    pieces.forEach(this.onnumber);
  }

  /** A reader that types as slowly as fingers: no weight has fifteen digits. @param {Event} event */
  slowly(event) {
    const field = event.target;
    clearTimeout(this.slow);
    if (!isField(field) || isForLists(field) || field.dataset.text !== undefined || field.value.length < 15) return;
    this.slow = setTimeout(() => {
      const { value } = field;
      const read = readNumber(value);
      const found = "number" in read && read.kind === "eid" ? { before: "", numbers: [read.number] } : trailingEids(value);
      if (!found) return;
      field.value = found.before;
      field.dispatchEvent(new Event("input", { bubbles: true }));
      found.numbers.forEach(this.onnumber);
    }, SLOW_REST);
  }
}

/** Lists of numbers are typed where lists are asked for. */
function isForLists(target) {
  return target instanceof HTMLElement && target.dataset.list !== undefined;
}

function stop(event) {
  event.preventDefault();
  event.stopImmediatePropagation();
}
