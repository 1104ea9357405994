// Measures another way of keeping the same contest and prints it as go test
// prints a benchmark, so that web/bench reads both alike.
//
//	node --expose-gc others.js <library> <way> <keyings> <name>
import { spawnSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { keyings } from "./contest.js";

const ENOUGH = 1500; // milliseconds of measuring
const LEAST = 3; // runs

const [library, name, file, as, held] = process.argv.slice(2);

// Memory of a WebAssembly program is not in the figures of the engine that runs it.
let linear;
const Instance = WebAssembly.Instance;
WebAssembly.Instance = class extends Instance {
  constructor(...given) {
    super(...given);
    linear = this.exports.memory ?? linear;
  }
};

const { default: ways } = await import(`./${library}.js`);
const way = ways[name];

/** The best of many runs, in nanoseconds; ready makes what a run takes. */
function best(ready, run) {
  let least = Infinity;
  const until = performance.now() + ENOUGH;
  for (let n = 0; n < LEAST || performance.now() < until; n++) {
    const given = ready();
    const began = performance.now();
    run(given);
    least = Math.min(least, performance.now() - began);
  }
  return Math.round(least * 1e6);
}

const print = (what, ns, more = "") => console.log(`Benchmark${as}/${what} 1 ${ns} ns/op${more}`);

function measure() {
  const rows = keyings(file);
  const files = way.files(rows);
  const contest = way.takeIn(files);
  way.check(rows, contest);
  const whole = way.whole(contest);
  const cards = new Set(rows.map(({ cls, number }) => `${cls}/${number}`)).size;
  const bytes = way.bytes?.(contest) ?? whole.length;
  print("files", best(() => files, way.takeIn), ` ${(bytes / cards).toFixed(3)} bytes/card`);
  if (way.merge) {
    way.check(rows, way.merge(way.open(files)));
    print("merge", best(() => way.open(files), way.merge));
  }
  hold(whole);
}

/** Opens the file in a process that did nothing else. */
function hold(whole) {
  const folder = mkdtempSync(join(tmpdir(), "keelcard-bench-"));
  const path = join(folder, "whole");
  writeFileSync(path, whole);
  const { stdout, stderr } = spawnSync(process.execPath, ["--expose-gc", fileURLToPath(import.meta.url), library, name, path, as, "held"], { encoding: "utf8" });
  rmSync(folder, { recursive: true });
  process.stdout.write(stdout);
  process.stderr.write(stderr);
}

function open() {
  const whole = readFileSync(file);
  const sizes = () => {
    const { heapUsed, heapTotal, arrayBuffers } = process.memoryUsage();
    const outside = arrayBuffers + (linear?.buffer.byteLength ?? 0);
    return { used: heapUsed + outside, all: heapTotal + outside };
  };
  global.gc();
  const before = sizes();
  const contest = way.takeIn([whole]);
  const opened = sizes();
  global.gc();
  const after = sizes();
  way.whole(contest); // it is in use until here
  print("Hold", 0, ` ${after.used - before.used} held-bytes ${opened.all - before.all} grown-bytes`);
}

if (held) {
  open();
} else {
  measure();
}
