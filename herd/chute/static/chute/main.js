/** Starts the page: what is stored is read, the views are put up, and sync begins. */

import { App } from "./app.js";
import { barView } from "./bar.js";
import { Clocks } from "./clocks.js";
import { Drafts } from "./drafts.js";
import { button, h } from "./element.js";
import { codeOfAddress } from "./enrolment.js";
import { enrolView } from "./enrolview.js";
import { Herd } from "./herd.js";
import { install } from "./install.js";
import { ListFiles } from "./listfiles.js";
import { listView } from "./listview.js";
import { Outbox } from "./outbox.js";
import { Pad } from "./pad.js";
import { sentView } from "./sentview.js";
import { setupView } from "./setupview.js";
import { Store } from "./store.js";
import { Sync } from "./sync.js";
import { Today } from "./today.js";
import { Voice } from "./voice.js";
import { Wedge } from "./wedge.js";
import { Wire } from "./wire.js";
import { cardView, focusWork, workView } from "./workview.js";

const RESCUE_AGAIN = 400;
const VIEWS = { work: workView, setup: setupView, sent: sentView, list: listView, enrol: enrolView, bar: barView, focus: focusWork, card: cardView };

/** @param {Store} store */
async function build(store) {
  const meta = await store.meta();
  const clocks = new Clocks();
  const outbox = new Outbox(store);
  const herd = new Herd(outbox);
  const today = new Today(store, outbox, herd, clocks);
  herd.dayOf = (at) => clocks.day(today.zone, new Date(Date.parse(at) + clocks.behind));
  const wire = new Wire(() => meta.token ?? "");
  const files = new ListFiles(store, wire);
  await Promise.all([outbox.load(), today.load(meta), files.load()]);
  herd.fill(await store.all("animals"), await store.all("lists"));
  outbox.takeChanged();
  const sync = new Sync({ store, outbox, herd, wire, clocks, today, meta, files });
  const voice = new Voice();
  voice.sounds = meta.sounds ?? true;
  voice.speech = meta.speech ?? true;
  const pad = new Pad((isOn) => store.put({ pad: isOn }).catch(() => {}));
  pad.isOn = meta.pad ?? matchMedia("(pointer: coarse)").matches;
  return new App({ store, outbox, herd, wire, clocks, today, sync, meta, voice, files, pad, drafts: new Drafts(store), views: VIEWS });
}

/** The browser has taken the storage away: what memory holds is written again. @param {App} app */
async function rescue(app, tries = 8) {
  try {
    await app.store.reopen();
    const unsent = await app.outbox.rescue();
    const { token, device, device_name, role, outfit } = app.meta;
    await app.today.rescue({ token, device, device_name, role, outfit });
    app.alarm(`The browser emptied this page's storage. ${unsent} unsent entries were written again. Send them before you go on.`);
    app.sync.now();
  } catch (problem) {
    // While the browser is still at it nothing can be written.
    if (tries > 1) setTimeout(() => rescue(app, tries - 1), RESCUE_AGAIN);
    else app.failed(problem);
  }
}

/** @param {App} app */
function wire(app) {
  app.sync.onchange = () => {
    app.renderBar();
    if (app.view === "sent") app.render();
    if (app.view === "setup" && document.getElementById("copying")) document.getElementById("copying").textContent = app.sync.said;
    if (app.sync.state === "blocked" || app.sync.state === "full") app.alarm(app.sync.said, "sync");
    else if (app.sync.state !== "working") app.alarm("", "sync");
  };
  app.sync.onherd = () => {
    app.freshen();
    if (app.view === "setup" && document.getElementById("copying")) app.render();
    if (app.view === "list" && !document.querySelector("details[open]")) app.render();
  };
  app.store.onlost = () => rescue(app);
  new Wedge((number) => app.arrived(number), (text) => app.arrivedPiece(text));
  document.body.append(app.pad.element);
  navigator.wakeLock?.request("screen").catch(() => {});
}

async function start() {
  const store = await Store.open();
  const app = await build(store);
  const left = await app.drafts.takeOver(app.today.passes);
  // From here on numbers are taken: what was left open must be in its place, or it would push out the first of them.
  globalThis.chute = app;
  wire(app);
  app.view = !app.meta.token || codeOfAddress() ? "enrol" : "work";
  if (left && app.meta.token) {
    const card = left.animal ? app.herd.cards.get(app.herd.standing(left.animal)) ?? null : null;
    app.last = { note: "This was open when the page was closed. It is not kept yet.", kind: "warn" };
    app.begin(card, left.read, left);
  } else app.render();
  app.sync.round();
  navigator.storage?.persist?.();
  addEventListener("hashchange", () => { if (codeOfAddress()) app.show("enrol"); });
  await install({
    onversion: (version) => { app.version = version; },
    onready: (begin) => document.getElementById("alarm").after(h("div.note.good.update", { id: "update" }, h("p", null, "A new version of this page is ready. What is kept stays."), button("Start it", begin, "primary"))),
  });
}

start().catch((problem) => {
  console.error(problem);
  document.getElementById("alarm").textContent = problem.message || "This page can't start here.";
});
