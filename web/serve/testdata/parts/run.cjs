// Runs a Go program under Node, with its second part if there is one: that
// arrives when the first part is already running, as on a phone.
const { readFileSync } = require("node:fs");
const [startScript, first, second, ...args] = process.argv.slice(2);

globalThis.fs = require("node:fs");
globalThis.path = require("node:path");
globalThis.crypto ??= require("node:crypto").webcrypto;
require(startScript);

(async () => {
  const go = new Go();
  go.argv = ["parts", ...args];
  go.env = {};
  go.exit = process.exit;
  const program = await WebAssembly.instantiate(readFileSync(first), go.importObject);
  const ended = go.run(program.instance);
  if (second) {
    await WebAssembly.instantiate(readFileSync(second), { first: program.instance.exports });
  }
  globalThis.second = true;
  await ended;
})().catch((error) => {
  console.error(String(error));
  process.exit(3);
});
