/** The page as a whole: what is shown, the animal in the chute, and what happens when a number arrives. */

import { cautionsOf, nameOf } from "./cardfacts.js";
import { newEntry } from "./entry.js";
import { isWhole, readNumber } from "./numbers.js";
import { NotStored } from "./store.js";

export class App {
  /** @param {any} parts store, outbox, herd, wire, clocks, today, sync, meta, voice, drafts, views */
  constructor(parts) {
    Object.assign(this, parts);
    this.view = "work";
    /** The animal in the chute: its entry and card; null between two. */
    this.current = null;
    /** What was said last, and the pass that can be taken back. */
    this.last = null;
    /** Animals of which one is meant. */
    this.choices = null;
    this.alarmBy = "";
    this.line = Promise.resolve();
    this.opened = [];
  }

  /** Show a view. @param {string} name */
  show(name) {
    this.view = name;
    this.render();
    document.querySelector("#page h1")?.focus?.();
  }

  render() {
    const page = document.getElementById("page");
    page.replaceChildren(this.views[this.view](this));
    this.renderBar();
    if (this.view === "work") this.views.focus(this);
  }

  renderBar() {
    document.getElementById("bar").replaceChildren(...this.views.bar(this));
  }

  /** Tell it loudly, and keep it on the screen until it is over. @param {string} text */
  alarm(text, by = "page") {
    const place = document.getElementById("alarm");
    // What sync has to say goes with it; what could not be kept stays until it is.
    if (by === "sync" && !text && this.alarmBy !== "sync") return;
    if (by === "sync" && text && place.textContent && this.alarmBy === "page") return;
    this.alarmBy = by;
    if (place.textContent === text) return;
    place.textContent = text;
    if (!text) return;
    this.voice.sound("alarm");
    this.voice.say(text);
  }

  /** Say to those who listen to the page. @param {string} text */
  announce(text) {
    document.getElementById("said").textContent = text;
  }

  // Numbers

  /** A number from a reader or from fingers; one after the other, in their order. @param {string} text */
  arrived(text) {
    const began = performance.now();
    this.line = this.line.then(() => this.take(text, began)).catch((problem) => this.failed(problem));
    return this.line;
  }

  async take(text, began) {
    if (!this.meta.token || this.view === "enrol") return;
    const read = readNumber(text);
    if (this.takenByEntry(text, read)) return;
    if (read.fault) {
      this.refuse(read.fault);
      return;
    }
    if (this.isSame(read)) {
      this.voice.sound("again");
      return;
    }
    if (this.current && !(await this.keep())) {
      this.alarm(`${text} was read, but the animal before it could not be kept. Keep that first, then scan ${text} again.`);
      return;
    }
    this.open(read);
    this.opened.push(performance.now() - began);
  }

  /** Only a piece of a number came. @param {string} text */
  arrivedPiece(text) {
    this.line = this.line.then(() => this.refuse(`Only a piece of a number was read, ${text.trim()}.`)).catch((problem) => this.failed(problem));
    return this.line;
  }

  refuse(fault) {
    if (!this.meta.token || this.view === "enrol") return;
    this.voice.sound("unknown");
    this.last = { note: `${fault} Scan it again.`, kind: "bad" };
    this.view = "work";
    this.render();
    this.announce(this.last.note);
  }

  /** A burst that belongs to the animal in the chute: its new tag, or its sample tube. */
  takenByEntry(text, read) {
    if (!this.current) return false;
    const { entry, card } = this.current;
    const isEid = read.kind === "eid";
    const isNew = isEid && !this.herd.wearing("eid", read.number).length && read.number !== entry.read.number;
    const lost = entry.tags.find((one) => one.kind === "eid" && !one.fresh);
    const wantsEid = this.today.work.tasks.includes("new_tag") && card && !entry.newTag && !card.tags.some((tag) => tag.kind === "eid");
    if (isNew && lost) lost.fresh = read.number;
    else if (isNew && wantsEid) entry.newTag = { kind: "eid", number: read.number };
    else if (!isEid && this.today.work.tasks.includes("sample") && !entry.fields.tube && /^[\x21-\x7e]{4,20}$/.test(text)) entry.fields.tube = text;
    else return false;
    this.voice.sound("kept");
    this.noteDraft();
    this.render();
    return true;
  }

  isSame(read) {
    if (!this.current) return false;
    const { entry, card } = this.current;
    const isIt = (one) => one.kind === read.kind && one.number === read.number && (!read.colour || one.colour === read.colour);
    if (!card) return isIt(entry.read);
    return card.tags.some((tag) => isIt(tag) && (read.kind === "eid" || entry.read.number === read.number));
  }

  /** Start the animal of a number, or ask which one is meant. */
  open(read) {
    const found = this.herd.find(read, this.today.work.group);
    const isExact = (card) => card.tags.some((tag) => tag.number === read.number);
    const here = found.filter((card) => isExact(card) && card.status === "on_hand");
    const one = here.length === 1 ? here[0] : found.length === 1 ? found[0] : null;
    if (!one && found.length) {
      this.choices = { read, found };
      this.view = "work";
      this.voice.sound("caution");
      this.voice.say(`${found.length} animals`);
      this.render();
      return;
    }
    this.begin(one, read);
  }

  /** Start an animal, or a number that nobody here wears. */
  begin(card, read, entry = newEntry(card, read, this.today.work)) {
    this.choices = null;
    this.view = "work";
    const earlier = this.today.passOf(card?.id, read.number);
    this.current = { card, entry, earlier };
    this.render();
    this.sayCard();
    this.noteDraft();
  }

  /** An animal picked from a list. @param {any} card */
  arrivedCard(card) {
    const tag = card.tags.find((one) => one.kind === "eid") ?? card.tags[0];
    const read = { kind: tag?.kind ?? "vid", number: tag?.number ?? "", colour: tag?.colour ?? "" };
    this.line = this.line.then(async () => { if (!this.current || (await this.keep())) this.begin(card, read); })
      .catch((problem) => this.failed(problem));
  }

  /** The herd has changed: the card that is open is shown as it stands now, the fields stay as they are. */
  freshen() {
    this.renderBar();
    if (!this.current?.card) return;
    const card = this.herd.cards.get(this.herd.standing(this.current.card.id));
    if (!card || card === this.current.card) return;
    this.current.card = card;
    if (this.view === "work") document.getElementById("card")?.replaceChildren(...this.views.card(this, card).flat(2).filter(Boolean));
  }

  sayCard() {
    const { card, entry, earlier } = this.current;
    if (!card) {
      this.voice.sound("unknown");
      this.voice.say("Not in this device’s herd");
      this.announce(`${entry.read.number} is not in this device’s herd.`);
      return;
    }
    const cautions = this.cautions();
    this.voice.sound(cautions.length ? "caution" : "known");
    const words = [nameOf(card), ...cautions.map((one) => one.text.split(":")[0])].join(". ");
    this.voice.say(words);
    this.announce(words + (earlier ? ", seen before today" : ""));
  }

  cautions() {
    const { card, earlier } = this.current;
    return cautionsOf(card, { work: this.today.work, earlier, today: this.today.day, groupName: (id) => this.herd.groupName(id) });
  }

  // Keeping

  /** Keep the animal in the chute; whether it is on the disk. */
  async keep(isByHand = false) {
    const { entry, card } = this.current;
    const label = card ? nameOf(card) : entry.read.number;
    let pass;
    try {
      pass = await this.today.keep(entry, card, label, isByHand);
    } catch (problem) {
      this.failed(problem);
      return false;
    }
    this.alarm("");
    this.current = null;
    this.last = { pass };
    this.drafts.drop();
    this.voice.sound(pass.asides.length ? "caution" : "kept");
    if (pass.asides.length) this.voice.say(`Look at ${label} again`);
    this.sync.captured();
    return true;
  }

  /** Keep and wait for the next. */
  async keepAndWait() {
    this.line = this.line.then(() => this.keepNow()).catch((problem) => this.failed(problem));
    return this.line;
  }

  async keepNow() {
    if (!this.current || !(await this.keep(true))) return;
    this.render();
    this.announce(`Kept for ${this.last.pass.label}: ${this.last.pass.said.join(", ") || "seen"}`);
  }

  /** Leave the animal in the chute without keeping anything. */
  leave() {
    this.current = null;
    this.choices = null;
    this.drafts.drop();
    this.render();
  }

  /** Take back a pass; its fields are open again where it was the last. @param {any} pass */
  async undo(pass) {
    try {
      const left = await this.today.undo(pass);
      this.last = { note: `Taken back: ${pass.label}. ${left.join(" ")}`.trim(), kind: "warn" };
      this.sync.captured();
      if (this.view === "work" && !this.current && pass.entry) {
        const card = pass.entry.animal ? this.herd.cards.get(this.herd.standing(pass.entry.animal)) : null;
        this.begin(card, pass.read, { ...pass.entry, id: newEntry(card, pass.read, this.today.work).id });
      } else this.render();
    } catch (problem) {
      this.failed(problem);
    }
  }

  noteDraft() {
    if (this.current) this.drafts.note(this.current.entry);
  }

  /** @param {any} problem */
  failed(problem) {
    if (!(problem instanceof NotStored)) {
      console.error(problem);
      this.alarm("Something went wrong on this page. What was kept is safe; look at the last animal again.");
      return;
    }
    this.alarm(problem.message);
    this.renderBar();
  }

  /** What a person types into the number field and ends with Enter. @param {string} text */
  typed(text) {
    const plain = text.trim();
    if (plain) this.arrived(isWhole(plain.replace(/ /g, "")) ? plain.replace(/ /g, "") : plain);
  }
}
