// A contest goes from one phone to another by picture codes, without a network:
// one screen shows them, and the other phone's camera, which is a film made here
// of what the first one shows, reads them. Headless Chromium on Linux has no
// reader of its own, so ours is what reads.
import assert from "node:assert/strict";
import { open, mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { test } from "node:test";
import { withPhone } from "./helpers.js";
import { beginContest, contestOf, look, openDemo, sign, tap, textOf, visit } from "./journey.js";

const FPS = 15;
const [WIDE, HIGH] = [960, 720];

// Pictures of a film beyond those that are needed. A phone shows ever new ones; a
// film begins anew, and what it lacks never comes. Each one more halves how often
// random sums lack something: with 3 it is one film in 8, with 12 one in 4,000.
const SPARE = 12;

/** What the phone shows: the next so many different pictures, as dark squares. */
async function shown(page, count) {
  const pictures = await page.evaluate(
    (wanted) =>
      new Promise((resolve) => {
        const seen = new Set();
        const look = () => {
          seen.add(document.querySelector("#code-squares").getAttribute("d"));
          if (seen.size >= wanted) {
            resolve([...seen]);
          } else {
            requestAnimationFrame(look);
          }
        };
        look();
      }),
    count,
  );
  const side = await page.locator("#code").evaluate((code) => code.viewBox.baseVal.width);
  return pictures.map((path) => squares(path, side));
}

/** The dark squares of a path that runs along each line, one byte a square. */
function squares(path, side) {
  const dark = new Uint8Array(side * side);
  for (const [, x, y, run] of path.matchAll(/M(\d+) (\d+)h(\d+)v1h-\d+z/g)) {
    dark.fill(1, y * side + Number(x), y * side + Number(x) + Number(run));
  }
  return { dark, side };
}

const TABLE = 90; // how bright what lies around the picture is
const LOOKS = [0.25, 0.75]; // within a pixel, across and down

/**
 * How a camera sees pictures: `fill` of the height of its view, turned by so many
 * degrees, leaning back so that their top is smaller, out of focus by so many
 * pixels. Gives, for each look at each pixel, which square is seen, the one
 * after the last for none.
 */
function sights(side, { fill = 0.8, turn = 0, lean = 0 }) {
  const size = HIGH * fill;
  const [sin, cos] = [Math.sin((turn * Math.PI) / 180), Math.cos((turn * Math.PI) / 180)];
  const seen = new Int32Array(WIDE * HIGH * 4);
  let at = 0;
  for (let py = 0; py < HIGH; py++) {
    for (let px = 0; px < WIDE; px++) {
      for (const dy of LOOKS) {
        for (const dx of LOOKS) {
          const [x, y] = [(px + dx - WIDE / 2) / size, (py + dy - HIGH / 2) / size];
          const deep = 1 - lean * (y * cos - x * sin); // the further up, the further away
          const u = (x * cos + y * sin) / deep + 0.5;
          const v = (y * cos - x * sin) / deep + 0.5;
          const inside = u >= 0 && v >= 0 && u < 1 && v < 1;
          seen[at++] = inside ? Math.floor(v * side) * side + Math.floor(u * side) : side * side;
        }
      }
    }
  }
  return seen;
}

/** One picture as the camera sees it, with the noise that cameras have. */
function filmed(dark, seen, blur = 0) {
  const grey = new Float32Array(WIDE * HIGH);
  const bright = Float32Array.from([...dark, 0], (square) => (square ? 35 : 205) / 4);
  bright[dark.length] = TABLE / 4;
  for (let i = 0, at = 0; i < grey.length; i++, at += 4) {
    grey[i] = bright[seen[at]] + bright[seen[at + 1]] + bright[seen[at + 2]] + bright[seen[at + 3]];
  }
  for (let pass = 0; pass < blur; pass++) {
    soften(grey, 1);
    soften(grey, WIDE);
  }
  const noisy = new Uint8Array(grey.length);
  for (let i = 0; i < noisy.length; i++) {
    noisy[i] = grey[i] + ((i * 7919) % 13) / 2 - 3;
  }
  return noisy;
}

/** Each pixel becomes the mean of itself and its two neighbours. */
function soften(grey, step) {
  const before = grey.slice();
  for (let i = step; i < grey.length - step; i++) {
    grey[i] = (before[i - step] + before[i] + before[i + step]) / 3;
  }
}

/** Writes a film that a browser takes for its camera; gives the flags for it. */
async function film(folder, pictures, camera = {}, each = 2) {
  const path = join(folder, "camera.y4m");
  const file = await open(path, "w");
  await file.write(`YUV4MPEG2 W${WIDE} H${HIGH} F${FPS}:1 Ip A1:1 C420\n`);
  const colour = Buffer.alloc((WIDE * HIGH) / 2, 128);
  const seen = sights(pictures[0].side, camera);
  for (const { dark } of pictures) {
    const grey = filmed(dark, seen, camera.blur);
    for (let i = 0; i < each; i++) {
      await file.write("FRAME\n");
      await file.write(grey);
      await file.write(colour);
    }
  }
  await file.close();
  return ["--use-fake-device-for-media-stream", "--use-fake-ui-for-media-stream", `--use-file-for-fake-video-capture=${path}`];
}

/** Runs with a folder that is gone afterwards. */
async function withFolder(play) {
  const folder = await mkdtemp(join(tmpdir(), "keelcard-film-"));
  try {
    await play(folder);
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
}

/** Waits until the service worker keeps what reads codes. */
async function keepsReader(phone) {
  await phone.stored();
  const kept = await phone.page.evaluate(async () => {
    const { active } = await navigator.serviceWorker.ready;
    const { port1, port2 } = new MessageChannel();
    active.postMessage({ later: true }, [port2]);
    return new Promise((resolve) => {
      port1.onmessage = ({ data }) => resolve(data);
    });
  });
  assert.equal(kept, true);
}

async function makeCode(phone, contest) {
  await visit(phone.page, contest, "hand-over");
  await tap(phone.page, "show-code.make");
  await phone.page.locator("#code-steps").waitFor();
}

/**
 * Reads codes until what arrived is looked at; gives the milliseconds it took. A
 * failure tells what was to be read, how much of it was, and what the page says.
 */
async function scan(phone, what) {
  await visit(phone.page, "", "take-in");
  await tap(phone.page, "scan.begin");
  const begun = performance.now();
  await phone.page
    .locator("#coming")
    .waitFor()
    .catch(async (error) => {
      const read = await phone.page.locator("#scan-have").innerText({ timeout: 1000 }).catch(() => "");
      const says = await phone.page.locator("#app").innerText();
      assert.fail(`${what}: ${read || "nothing"} was read\nthe page says: ${says}\n${error.message}`);
    });
  return Math.round(performance.now() - begun);
}

test("a contest goes over by a moving code, without a network", () =>
  withFolder((folder) =>
    withPhone({}, async ({ server, phone: a, more }) => {
      const requested = [];
      a.page.on("request", (request) => requested.push(new URL(request.url()).pathname));
      await a.start();
      const contest = await openDemo(a);
      await sign(a, "AB");
      await makeCode(a, contest);
      assert.match(await textOf(a.page, "#code-steps"), /pictures, one after another/);
      const faults = await look(a, "show-code");
      assert.deepEqual(faults, []);
      await tap(a.page, "show-code.start");
      const need = Number((await textOf(a.page, "#code-number")).match(/Any (\d+)/)[1]);
      const pictures = await shown(a.page, need + SPARE);
      assert.deepEqual(await look(a, "show-code-moving"), []);
      await tap(a.page, "show-code.pause");
      assert.ok(!requested.some((path) => path.includes("reader")), "what reads codes is no part of a visit");

      const b = await more({ flags: await film(folder, pictures) });
      await b.start();
      await keepsReader(b);
      await server.stop();
      await b.reload();
      const time = await scan(b, `${need} of ${pictures.length} pictures`);
      console.log(`${need} pictures at ${FPS / 2} a second were read in ${time} ms`);
      assert.match(await textOf(b.page, "#coming"), /Tamarack County Poultry Day/);
      await tap(b.page, "take-in.accept");
      await b.page.locator("#overview").waitFor();
      await b.saved();
      assert.equal(contestOf(b.page), contest);
      // Switched off and on again, it is there.
      await b.restart();
      await b.start(`#/c/${contest}/people`);
      assert.match(await textOf(b.page, "#list"), /40 contestants/);
    }),
  ));

// How far away, how crooked and how blurred a picture may be.
const VIEWS = {
  near: { fill: 1.0 },
  "at arm's length": { fill: 0.7 },
  far: { fill: 0.5 },
  tilted: { fill: 0.68, turn: 17, lean: 0.25 },
  blurred: { fill: 0.85, blur: 2 },
};

test("a code is read from near and far, tilted and blurred", () =>
  withFolder((folder) =>
    withPhone({}, async ({ phone: a, more }) => {
      await a.start();
      const contest = await openDemo(a);
      await sign(a, "AB");
      await makeCode(a, contest);
      await tap(a.page, "show-code.start");
      const need = Number((await textOf(a.page, "#code-number")).match(/Any (\d+)/)[1]);
      const pictures = await shown(a.page, need + SPARE);
      await tap(a.page, "show-code.pause");
      let b; // its camera is the film that is there when it is opened
      for (const [name, camera] of Object.entries(VIEWS)) {
        const flags = await film(folder, pictures, camera);
        b ??= await more({ flags });
        await b.start();
        const time = await scan(b, `${name}, ${need} of ${pictures.length} pictures`);
        console.log(`${name}: ${need} pictures were read in ${time} ms`);
        assert.match(await textOf(b.page, "#coming"), /Tamarack County Poultry Day/);
        await b.page.goto("about:blank"); // what was read is forgotten
      }
    }),
  ));

test("a small contest is one picture that stands still", () =>
  withFolder((folder) =>
    withPhone({}, async ({ phone: a, more }) => {
      await a.start();
      await makeCode(a, await beginContest(a, "AB", [101, 102, 103]));
      assert.match(await textOf(a.page, "#code-steps"), /One picture holds everything/);
      const b = await more({ flags: await film(folder, await shown(a.page, 1), { fill: 0.7, turn: -8, blur: 1 }, FPS) });
      await b.start();
      await scan(b, "one picture");
      assert.match(await textOf(b.page, "#coming"), /Quarry Road Poultry Day/);
    }),
  ));

/** Opens the camera and gives what the page says of it. */
async function told(phone) {
  await phone.start("#/scan");
  await tap(phone.page, "scan.begin");
  const notice = phone.page.locator("#scan .notice");
  await notice.first().waitFor();
  return textOf(phone.page, "#scan .notice");
}

test("says why a camera does not read, and what to do", () =>
  withFolder((folder) =>
    withPhone({}, async ({ phone: none, more }) => {
      assert.match(await told(none), /no camera.*Use a file instead/);

      const refused = await more({ flags: ["--use-fake-device-for-media-stream", "--deny-permission-prompts"] });
      assert.match(await told(refused), /refuse it.*Allow the camera/);
      assert.deepEqual(await look(refused, "scan-refused"), []);
      await tap(refused.page, "open:#/take-in");
      await refused.page.locator("#taking").waitFor();

      // A browser with a reader of its own is asked, and a code of something else is said to be one.
      const blank = { dark: new Uint8Array(85 * 85), side: 85 };
      const other = await more({ flags: await film(folder, [blank], {}, FPS) });
      await other.page.addInitScript(() => {
        window.BarcodeDetector = class {
          static getSupportedFormats = async () => ["qr_code"];
          detect = async () => [{ rawValue: "https://example.org/" }];
        };
      });
      assert.match(await told(other), /a code of something else.*Point the camera/);
      // The camera is let go when its page is left.
      const live = () => other.page.evaluate(() => document.querySelector("#camera")?.srcObject?.active);
      assert.equal(await live(), true);
      const track = await other.page.evaluateHandle(() => document.querySelector("#camera").srcObject.getTracks()[0]);
      await visit(other.page, "", "phone");
      await other.page.waitForFunction((t) => t.readyState === "ended", track);
    }),
  ));
