// The replication server of the comparison: one process, LevelDB files in the folder given, any free port.
const express = require("express");
const PouchDB = require("pouchdb").defaults({ prefix: process.argv[2] });

const options = { mode: "minimumForPouchDB", inMemoryConfig: true, logPath: process.argv[2] + "log.txt" };
const app = express();
app.use("/", require("express-pouchdb")(PouchDB, options));
const server = app.listen(0, "127.0.0.1", () => console.log(server.address().port));
