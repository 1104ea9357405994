// The app opens, stays, and changes its version only when it is asked to.
import assert from "node:assert/strict";
import { appendFile, cp, mkdtemp, readFile, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { test } from "node:test";
import { LAPTOP, RELEASE, SECOND, serve, within, withPhone } from "./helpers.js";

// Milliseconds with the processor slowed four times: a start from the phone's
// own store to the first page, and a tap to its painted answer.
const COLD_START = 800;
const TAP = 50;

for (const [name, viewport] of Object.entries({ phone: undefined, laptop: LAPTOP })) {
  test(`opens on a ${name}`, () =>
    withPhone(viewport ? { viewport } : {}, async ({ server, phone }) => {
      const page = await phone.start();
      const said = await page.evaluate(() => window.keelcard);
      assert.equal(said.version, server.version);
      assert.equal(await page.title(), "Keelcard");
      await phone.stored();
      await phone.fits();
      await phone.accessible();
      await phone.shot(`start-${name}`);
    }));
}

test("the service worker keeps every file of the release and no other", () =>
  withPhone({}, async ({ server, phone }) => {
    const page = await phone.start();
    await phone.stored();
    const kept = await page.evaluate(async () => {
      const [name, ...others] = (await caches.keys()).filter((key) => key.startsWith("keelcard-app-"));
      const requests = await (await caches.open(name)).keys();
      return { name, others, paths: requests.map((r) => new URL(r.url).pathname.slice(1) || "./").sort() };
    });
    assert.equal(kept.name, `keelcard-app-${server.version}`);
    assert.deepEqual(kept.others, []);
    const worker = await readFile(join(RELEASE, "sw.js"), "utf8");
    const listed = JSON.parse(worker.match(/new Map\((\[[\s\S]*?\n\])\)/)[1]).map(([path]) => path);
    assert.ok(listed.includes("app.wasm"), "the list has the program");
    assert.deepEqual(kept.paths, listed.sort());
  }));

test("reloads without a network", () =>
  withPhone({}, async ({ phone }) => {
    await phone.start();
    await phone.stored();
    await phone.offline();
    await phone.reload();
  }));

test("starts cold with the server dead", () =>
  withPhone({}, async ({ server, phone }) => {
    await phone.start();
    await phone.stored();
    await server.stop();
    await phone.restart();
    await phone.start();
    await within(COLD_START, "cold start, slowed four times", async () => {
      await phone.restart();
      await phone.page.waitForTimeout(500); // the browser itself is still starting
      await phone.slow(4);
      await phone.start();
      return phone.page.evaluate(() => window.keelcard.started);
    });
  }));

test("answers a tap at once", () =>
  withPhone({}, async ({ phone }) => {
    await phone.start("#/phone");
    await phone.slow(4);
    let dim = false;
    await within(TAP, "tap to painted answer, slowed four times", async () => {
      dim = !dim;
      const time = await phone.tapTime(dim ? "phone.scheme:dim" : "phone.scheme:bright");
      assert.equal(await phone.page.evaluate(() => document.documentElement.dataset.scheme), dim ? "dim" : "bright");
      return time;
    });
  }));

test("an address of a page that is not there leads to the app, without a network too", () =>
  withPhone({}, async ({ server, phone }) => {
    await phone.start();
    await phone.stored();
    await server.stop();
    await phone.page.goto(`${server.url}old/bookmark`);
    await phone.ready();
    assert.equal(new URL(phone.page.url()).pathname, "/");
  }));

test("a new version waits until it is taken", () =>
  withPhone({}, async ({ server, phone }) => {
    const page = await phone.start();
    const whole = () => page.waitForFunction(() => window.keelcard?.rest === "here"); // no request is under way
    await phone.stored();
    const first = server.version;
    await server.stop();
    const next = await serve(SECOND, server.port);
    try {
      assert.notEqual(next.version, first);

      // The reload still shows the first version, whole, and finds the second.
      await phone.reload();
      assert.equal(await page.evaluate(() => window.keelcard.version), first);
      await page.waitForFunction(() => window.keelcard.update);
      const caches = () => page.evaluate(async () => (await window.caches.keys()).filter((key) => key.startsWith("keelcard-app-")).sort());
      assert.deepEqual(await caches(), [`keelcard-app-${first}`, `keelcard-app-${next.version}`].sort());

      // It is offered on the page and keeps waiting over another reload.
      await page.locator('[data-do="update-take"]').waitFor();
      await phone.reload();
      assert.equal(await page.evaluate(() => window.keelcard.version), first);
      await whole();

      await phone.tap("update-take");
      await page.waitForFunction((version) => window.keelcard?.version === version && window.keelcard.ready, next.version);
      assert.deepEqual(await caches(), [`keelcard-app-${next.version}`]);
      await whole();
    } finally {
      await next.stop();
    }
  }));

test("a new version that arrives damaged is not taken", () =>
  withPhone({}, async ({ server, phone }) => {
    const page = await phone.start();
    await phone.stored();
    const first = server.version;
    const damaged = await damagedCopy(SECOND, "style.css");
    await server.stop();
    const next = await serve(damaged, server.port);
    try {
      phone.mayFail = true; // the browser reports the wrong hash
      const state = await page.evaluate(async () => {
        const registration = await navigator.serviceWorker.getRegistration();
        const found = new Promise((resolve) => registration.addEventListener("updatefound", () => resolve(registration.installing)));
        registration.update().catch(() => {});
        const worker = await found;
        while (worker.state === "installing") {
          await new Promise((resolve) => worker.addEventListener("statechange", resolve, { once: true }));
        }
        return worker.state;
      });
      assert.equal(state, "redundant");
      await phone.reload();
      assert.equal(await page.evaluate(() => window.keelcard.version), first);
    } finally {
      await next.stop();
      await rm(damaged, { recursive: true });
    }
  }));

/** Copies a release with one more line in one of its files. */
async function damagedCopy(folder, name) {
  const copy = await mkdtemp(join(tmpdir(), "keelcard-damaged-"));
  await cp(folder, copy, { recursive: true });
  await rm(join(copy, `${name}.br`));
  await rm(join(copy, `${name}.gz`));
  await appendFile(join(copy, name), "\n");
  return copy;
}

test("a file shared without a network is taken in", () =>
  withPhone({}, async ({ server, phone }) => {
    const page = await phone.start();
    await phone.stored();
    await phone.reload(); // now the service worker stands between
    await server.stop();
    await page.evaluate(() => {
      const form = document.createElement("form");
      form.id = "sharing";
      form.method = "POST";
      form.enctype = "multipart/form-data";
      form.action = "share";
      const input = document.createElement("input");
      input.type = "file";
      input.name = "file";
      const box = new DataTransfer();
      box.items.add(new File(["not a bundle"], "from-a-friend.txt", { type: "text/plain" }));
      input.files = box.files;
      form.append(input);
      document.body.append(form);
      form.submit();
    });
    await page.waitForURL(/#\/take-in$/);
    await phone.ready();
    await page.waitForFunction(async () => (await (await caches.open("keelcard-shared")).keys()).length === 0);
    assert.equal(await page.evaluate(() => window.keelcard.trouble), "");
  }));

test("a program that cannot be loaded is said calmly", () =>
  withPhone({}, async ({ phone }) => {
    phone.mayFail = true; // the browser reports the missing file itself
    await phone.context.route("**/app.wasm", (route) => route.fulfill({ status: 404, body: "" }));
    await phone.page.goto(phone.options.url);
    const trouble = phone.page.getByRole("alert");
    await trouble.waitFor();
    const text = await trouble.innerText();
    assert.match(text, /could not be opened/);
    assert.match(text, /Nothing on this phone was changed/);
    await phone.context.unroute("**/app.wasm");
    await phone.page.getByRole("button", { name: "Start again" }).click();
    await phone.ready();
  }));
