// Times the same walk with the replication client: LevelDB files in the folder given, its usual settings and larger
// batches. Arguments: the server's address, the folder, the file of documents. Prints one object of milliseconds.
const fs = require("fs");
const PouchDB = require("pouchdb");

const [address, folder, file] = process.argv.slice(2);
const { cards, events, pen } = JSON.parse(fs.readFileSync(file));
const ROUNDS = events.length;
const remote = new PouchDB(address + "herd");
const times = {};

async function timed(name, work) {
  const began = process.hrtime.bigint();
  const found = await work();
  (times[name] ||= []).push(Number(process.hrtime.bigint() - began) / 1e6);
  return found;
}

async function seed() {
  const docs = cards.map((card) => ({ _id: "animal:" + card.id, type: "animal", ...card }));
  for (let start = 0; start < docs.length; start += 1000) await remote.bulkDocs(docs.slice(start, start + 1000));
  const filter = "function (doc, req) { return doc.group === req.query.pen; }";
  await remote.put({ _id: "_design/pens", filters: { pen: filter } });
}

async function change(round) {
  const ids = cards.slice(round * 100, round * 100 + 100).map((card) => "animal:" + card.id);
  const { rows } = await remote.allDocs({ keys: ids, include_docs: true });
  await remote.bulkDocs(rows.map((row) => ({ ...row.doc, revision: row.doc.revision + 1 })));
}

function expect(count, told) {
  if (count !== told) throw new Error("expected " + told + " documents, not " + count);
}

async function walk(round, name, options) {
  const local = new PouchDB(folder + name + round);
  const first = await timed(name + " copy", () => local.replicate.from(remote, options));
  if (first.docs_written < cards.length) throw new Error("the copy is not whole");
  const mine = events[round].map((event) => ({ ...event, _id: name + event._id }));
  await local.bulkDocs(mine);
  const pushed = await timed(name + " push", () => local.replicate.to(remote, options));
  expect(pushed.docs_written, mine.length);
  await local.replicate.from(remote, options);
  await change(round);
  const pulled = await timed(name + " pull", () => local.replicate.from(remote, options));
  expect(pulled.docs_written, 100);
  const penned = new PouchDB(folder + name + "pen" + round);
  const query = { filter: "pens/pen", query_params: { pen }, ...options };
  const held = await timed(name + " pen", () => penned.replicate.from(remote, query));
  expect(held.docs_written, cards.filter((card) => card.group === pen).length);
}

(async () => {
  await seed();
  for (let round = 0; round < ROUNDS; round++) {
    await walk(round, "usual", {});
    await walk(round, "large", { batch_size: 1000 });
  }
  console.log(JSON.stringify(times));
})().catch((problem) => { console.error(problem); process.exit(1); });
