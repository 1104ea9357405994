// What a browser does to a store: it has no room, gives none, closes it, or
// throws it away. The app notices, says so, and goes on or refuses in words.
import assert from "node:assert/strict";
import { Buffer } from "node:buffer";
import { test } from "node:test";
import { withPhone } from "./helpers.js";
import { beginContest, contestOf, doing, drawn, kept, offer, openDemo, sign, tap, textOf, visit } from "./journey.js";

/** Empties the store as the browser does when it needs the room. */
async function empty(phone) {
  const cdp = await phone.context.newCDPSession(phone.page);
  await cdp.send("Storage.clearDataForOrigin", { origin: new URL(phone.options.url).origin, storageTypes: "indexeddb" });
}

/** Starts the app on a phone that gives it little room; what others take of that is in stores of their own. */
async function startInLittleRoom(phone) {
  const cdp = await phone.context.newCDPSession(phone.page);
  await cdp.send("Storage.overrideQuotaForOrigin", { origin: new URL(phone.options.url).origin, quotaSize: 32_000_000 });
  await phone.start();
  await phone.stored();
}

/** Fills a store of that name until hardly a byte fits in. */
function fill(page, name) {
  return page.evaluate(
    async (store) => {
      const answer = (request, event, value) => new Promise((done) => (request[event] = () => done(value)));
      const request = indexedDB.open(store);
      request.onupgradeneeded = () => request.result.createObjectStore("all", { autoIncrement: true });
      await answer(request, "onsuccess");
      const db = request.result;
      for (let size = 8_000_000; size >= 50; ) {
        const bytes = new Uint8Array(size);
        for (let at = 0; at < size; at += 65_536) {
          crypto.getRandomValues(bytes.subarray(at, at + 65_536));
        }
        const transaction = db.transaction("all", "readwrite");
        transaction.objectStore("all").put(bytes);
        const fits = await Promise.race([answer(transaction, "oncomplete", true), answer(transaction, "onabort", false)]);
        size = fits ? size : size >> 1;
      }
      db.close();
    },
    name,
  );
}

function free(page, name) {
  return page.evaluate((store) => new Promise((done) => (indexedDB.deleteDatabase(store).onsuccess = done)), name);
}

/** What is kept in some stores, by key. */
async function keptIn(page, ...stores) {
  const all = Object.entries(await kept(page));
  return Object.fromEntries(all.filter(([key]) => stores.some((store) => key.startsWith(`${store}/`))));
}

const marks = async (page) => (await page.locator(".tiles .tile-answer").allInnerTexts()).join("").trim();

const unsaved = (page) => page.locator("#unsaved");

test("a full phone says so, loses nothing, and saves everything once there is room", () =>
  withPhone({}, async ({ phone }) => {
    const { page } = phone;
    await startInLittleRoom(phone);
    const contest = await beginContest(phone, "FU", [101, 102, 103]);
    await visit(page, contest, "hand-over");
    const { bytes } = await phone.download(() => doing(page, "hand-over.save").click());
    await phone.saved();
    await visit(page, "", "home");
    const demo = await openDemo(phone);
    await visit(page, demo, "keying", "4");
    const card = page.url();

    // A tap.
    const before = await kept(page);
    await fill(page, "others");
    await tap(page, "keying.mark:3");
    await unsaved(page).waitFor();
    assert.match(await textOf(page, "#unsaved"), /on the screen only.*no room left.*safe.*free some/i);
    assert.match(await textOf(page, ".where"), /not all/i);
    assert.deepEqual(await kept(page), before);
    await tap(page, "keying.mark:1", "save-again");
    await unsaved(page).waitFor();
    assert.deepEqual(await kept(page), before);
    assert.equal(await marks(page), "31");

    // A contest is taken off, while more waits.
    await visit(page, "", "phone");
    await page.locator(`#forget-${contest} summary`).click();
    await tap(page, `contest.forget:${contest}`);
    await page.waitForFunction(() => document.querySelector("#home"));
    await phone.saved();
    assert.deepEqual(Object.keys(await kept(page)).filter((key) => key.includes(contest)), []);

    // All of a file or nothing of it is on the disk.
    await fill(page, "others");
    const less = await kept(page);
    await offer(phone, { name: "quarry.txt", bytes });
    await tap(page, "take-in.accept");
    await page.locator("#overview").waitFor();
    assert.match(await textOf(page, "#unsaved"), /no room left/);
    assert.deepEqual(await kept(page), less);
    await free(page, "others");
    await tap(page, "save-again");
    await unsaved(page).waitFor({ state: "detached" });
    await phone.saved();
    assert.ok(Object.keys(await kept(page)).filter((key) => key.includes(contest)).length > 5);
    await page.goto(card);
    await phone.reload();
    await page.locator("#pad").waitFor();
    assert.equal(await marks(page), "31");
  }));

test("a photo without room leaves room for the rest", () =>
  withPhone({}, async ({ phone }) => {
    const { page } = phone;
    await page.addInitScript(() => {
      window.full = true;
      const put = IDBObjectStore.prototype.put;
      IDBObjectStore.prototype.put = function (...given) {
        if (window.full && this.name === "blob") {
          throw new DOMException("no room", "QuotaExceededError");
        }
        return put.apply(this, given);
      };
    });
    await phone.start();
    const contest = await beginContest(phone, "PH", [101]);
    await visit(page, contest, "key", "1", "1");
    const [chooser] = await Promise.all([page.waitForEvent("filechooser"), doing(page, "key.photo").click()]);
    await chooser.setFiles({ name: "bird.png", mimeType: "image/png", buffer: PICTURE });
    await unsaved(page).waitFor();
    await page.waitForFunction(() => /photo has no room.*everything else is saved/.test(document.querySelector("#unsaved")?.innerText));
    await visit(page, contest, "keying", "1");
    await tap(page, "keying.mark:2");
    await phone.saved();
    const [draft, blob] = [await keptIn(page, "draft"), await keptIn(page, "blob")];
    assert.deepEqual([Object.keys(draft).length, Object.keys(blob).length], [1, 0]);
    await page.evaluate(() => (window.full = false));
    await tap(page, "save-again");
    await unsaved(page).waitFor({ state: "detached" });
    assert.equal(Object.keys(await keptIn(page, "blob")).length, 1);
  }));

// One dot.
const PICTURE = Buffer.from("iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mNk+M9QDwADhgGAWjR9awAAAABJRU5ErkJggg==", "base64");

test("the phone says how much room there is, and warns before it is full", () =>
  withPhone({}, async ({ phone }) => {
    const page = await phone.start();
    await visit(page, "", "phone");
    await page.waitForFunction(() => /in use here/.test(document.querySelector("#phone-store")?.innerText));
    assert.match(await textOf(page, "#phone-store"), /\d+ [kMG]B are in use here, \d+ [kMG]B are left/);
    // This browser keeps to itself how much it gives.
    await page.addInitScript(() => {
      StorageManager.prototype.estimate = async () => ({ usage: 46_000_000, quota: 50_000_000 });
    });
    await phone.reload();
    await page.locator("#notice").waitFor();
    assert.match(await textOf(page, "#notice"), /little room is left.*hand over.*take contests/i);
    assert.match(await textOf(page, "#phone-store"), /46 MB are in use here, 4 MB are left.*little room is left/i);
  }));

/** What browsers do that keep nothing. */
const BROWSERS = {
  "fails, as in a private window": {
    open: () => {
      IDBFactory.prototype.open = () => {
        throw new DOMException("no", "SecurityError");
      };
    },
    says: /no place to save.*nothing is saved here.*ordinary window/i,
  },
  "has none": {
    open: () => Object.defineProperty(window, "indexedDB", { value: undefined }),
    says: /no place to save.*nothing is saved here.*ordinary window/i,
  },
  "refuses later": {
    open: () => {
      const open = IDBFactory.prototype.open;
      IDBFactory.prototype.open = function (name) {
        const request = open.call(this, name, 1);
        request.addEventListener("upgradeneeded", () => request.transaction.abort());
        return request;
      };
    },
    says: /could not open.*reload/i,
  },
  "never answers": {
    late: true,
    open: () => {
      const open = IDBFactory.prototype.open;
      IDBFactory.prototype.open = function (...given) {
        const request = open.apply(this, given);
        for (const event of ["success", "upgradeneeded", "error"]) {
          request.addEventListener(event, (told) => told.stopImmediatePropagation());
        }
        return request;
      };
    },
    says: /does not answer.*nothing is lost.*close the browser/i,
  },
};

test("a browser that keeps nothing is said, and nothing is pretended", () =>
  withPhone({}, async ({ phone }) => {
    for (const [what, { open, late, says }] of Object.entries(BROWSERS)) {
      const page = await phone.context.newPage();
      await page.addInitScript(open);
      if (late) {
        await page.clock.install();
      }
      await page.goto(phone.options.url);
      if (late) {
        await page.waitForFunction(() => window.keelcard?.rest);
        await page.clock.runFor(20_000);
      }
      await page.getByRole("alert").waitFor();
      assert.match(await textOf(page, "#trouble"), says, what);
      assert.equal(await page.locator("#home").count(), 0, what);
      assert.equal(await page.evaluate(() => window.keelcard.saved + window.keelcard.pending), 0, what);
      await page.close();
    }
  }));

test("a store of a newer version, and one that an older tab holds, are left alone and said", () =>
  withPhone({}, async ({ phone }) => {
    const page = await phone.start();
    const demo = await openDemo(phone);
    const count = Object.keys(await kept(page)).length;

    // While it is open, another tab brings a newer version.
    const other = await phone.context.newPage();
    await other.goto(phone.options.url);
    await phone.ready(other);
    const raise = (version) =>
      other.evaluate(
        (to) =>
          new Promise((done, fail) => {
            const request = indexedDB.open("keelcard", to);
            request.onsuccess = () => done(request.result.close());
            request.onerror = () => fail(request.error);
          }),
        version,
      );
    await raise(2);
    await page.getByRole("alert").waitFor();
    assert.match(await textOf(page, "#trouble"), /newer version of Keelcard.*everything shown as saved is safe.*reload/i);
    await page.reload();
    await page.getByRole("alert").waitFor();
    assert.match(await textOf(page, "#trouble"), /newer version.*all of it is safe.*close every tab/i);
    assert.equal(Object.keys(await kept(page)).length, count);

    // The next version of the app, which an older tab keeps from its store.
    await other.evaluate(
      () =>
        new Promise((done) => {
          const request = indexedDB.open("keelcard", 2);
          request.onsuccess = () => done((window.held = request.result));
        }),
    );
    await page.addInitScript(() => {
      const open = IDBFactory.prototype.open;
      IDBFactory.prototype.open = function (name) {
        return open.call(this, name, 3);
      };
    });
    await page.clock.install();
    await page.reload();
    await page.waitForFunction(() => window.keelcard?.rest);
    await page.clock.runFor(20_000);
    await page.getByRole("alert").waitFor();
    assert.match(await textOf(page, "#trouble"), /older version.*nothing is lost.*close every other tab/i);
    await other.close();
    await page.clock.resume();
    await page.getByRole("button", { name: "Start again" }).click();
    await phone.ready();
    assert.equal(contestOf(page), demo);
  }));

test("contests that the browser threw away are named, and come back", () =>
  withPhone({}, async ({ phone }) => {
    const page = await phone.start();
    await beginContest(phone, "EV", [101, 102]);
    await visit(page, "", "home");
    const demo = await openDemo(phone);
    await visit(page, demo, "hand-over");
    const { bytes } = await phone.download(() => doing(page, "hand-over.save").click());
    await phone.saved();
    await visit(page, "", "phone");
    const number = await textOf(page, "#phone .topbar, #phone header");
    await page.goto("about:blank");
    await empty(phone);

    await phone.start();
    assert.match(await textOf(page, "#lost"), /browser threw contests away.*Quarry Road Poultry Day.*file of another phone.*backup.*new number/i);
    assert.match(await textOf(page, "#lost"), /Tamarack.*recovery words/);
    await phone.reload(); // until it is seen to
    await page.locator("#lost").waitFor();
    await offer(phone, { name: "demo.txt", bytes });
    await tap(page, "take-in.accept");
    await page.locator("#overview").waitFor();
    await visit(page, "", "home");
    assert.doesNotMatch(await textOf(page, "#lost"), /Tamarack/);
    await tap(page, "lost.known");
    assert.equal(await page.locator("#lost").count(), 0);
    await visit(page, "", "phone");
    assert.notEqual(await textOf(page, "#phone .topbar, #phone header"), number);
    await phone.reload();
    await visit(page, "", "home");
    assert.equal(await page.locator("#lost").count(), 0);
    assert.equal(await page.locator(`#contest-${demo}`).count(), 1);

    // What is taken off by hand is not missed.
    await visit(page, "", "phone");
    await page.locator(`#forget-${demo} summary`).click();
    await tap(page, `contest.forget:${demo}`);
    await phone.saved();
    await phone.reload();
    assert.equal(await page.locator("#lost").count(), 0);
  }));

test("a store that is emptied while the app is open is written anew", () =>
  withPhone({}, async ({ phone }) => {
    const page = await phone.start();
    await beginContest(phone, "EM", [101, 102]);
    await visit(page, "", "home");
    const demo = await openDemo(phone);
    await visit(page, demo, "keying", "4");
    await tap(page, "keying.mark:3", "keying.mark:1");
    await phone.saved();
    const ours = ([key]) => key.includes(demo) || key.startsWith("meta/");
    const before = Object.entries(await kept(page)).filter(ours);
    const reader = await phone.context.newPage();
    await reader.goto(page.url());
    await phone.ready(reader);
    await reader.locator("#reader").waitFor();
    await empty(phone);
    await page.locator("#notice").waitFor();
    assert.match(await textOf(page, "#notice"), /browser emptied its store.*Tamarack.*written to it anew.*gone.*Quarry Road.*backup/i);
    await phone.saved();
    assert.deepEqual(Object.entries(await kept(page)), before);

    // The tab that only read takes over what was written anew, and goes on.
    await page.close();
    await reader.locator("#reader").waitFor({ state: "detached" });
    await reader.waitForFunction(() => [...document.querySelectorAll(".tiles .tile-answer")].map((e) => e.innerText.trim()).join("") === "31");
    await tap(reader, "keying.mark:2");
    await phone.saved(reader);
    assert.equal(await unsaved(reader).count(), 0);
    await visit(reader, "", "home");
    assert.match(await textOf(reader, "#lost"), /Quarry Road/);
    assert.equal(await reader.locator(`#contest-${demo}`).count(), 1);
  }));

test("a store that the browser closes is opened again", () =>
  withPhone({}, async ({ phone }) => {
    const { page } = phone;
    await page.addInitScript(() => {
      window.opened = [];
      const open = IDBFactory.prototype.open;
      IDBFactory.prototype.open = function (...given) {
        const request = open.apply(this, given);
        request.addEventListener("success", () => window.opened.push(request.result));
        return request;
      };
    });
    await phone.start();
    const contest = await beginContest(phone, "CL", [101, 102]);
    await visit(page, contest, "keying", "1");
    await tap(page, "keying.mark:1");
    await phone.saved();
    for (const told of [true, false]) {
      await page.evaluate((tell) => {
        const db = window.opened.at(-1);
        db.close();
        if (tell) {
          db.dispatchEvent(new Event("close"));
        }
      }, told);
      await tap(page, "keying.mark:2");
      await page.waitForFunction(() => !document.querySelector("#unsaved"));
      await phone.saved();
    }
    await drawn(page);
    await phone.reload();
    await page.locator("#pad").waitFor();
    assert.equal(await marks(page), "ABB");
  }));

test("a clock that is set back is said, and every entry keeps its place", () =>
  withPhone({}, async ({ phone }) => {
    const { page } = phone;
    const noon = Date.UTC(2027, 4, 8, 12);
    const hours = 3_600_000;
    await page.clock.setFixedTime(noon);
    await phone.start();
    await sign(phone, "CK");
    await visit(page, "", "home");
    const demo = await openDemo(phone);
    await visit(page, demo, "keying", "4");
    const key = async (...answers) => {
      const number = parseInt(await page.locator("#other").innerText(), 10);
      await tap(page, ...answers.map((answer) => `keying.mark:${answer}`));
      await phone.saved();
      return `${number}`;
    };
    const before = await key(3, 1, 2);
    await visit(page, demo, "contest");
    assert.doesNotMatch(await textOf(page, "#overview"), /clock/);

    await page.clock.setFixedTime(noon - 3 * hours);
    await visit(page, demo, "keying", "4");
    const after = await key(1, 2, 3);
    await visit(page, demo, "contest");
    assert.match(await textOf(page, "#overview"), /clock was set back.*3 hours away.*nothing is lost.*keep their order.*by itself/i);
    await phone.reload();
    await visit(page, demo, "history", "6", "4", after);
    assert.match(await textOf(page, "#past"), /1-2-3-4.*2027-05-08 12:00 UTC, by a clock that does not agree/);

    await page.clock.setFixedTime(new Date("1970-01-02"));
    await visit(page, demo, "contest");
    assert.match(await textOf(page, "#overview"), /before Keelcard was made/);
    await page.clock.setFixedTime(noon + 2 * hours);
    await visit(page, "", "home");
    await visit(page, demo, "contest");
    assert.doesNotMatch(await textOf(page, "#overview"), /clock/);
    await visit(page, demo, "history", "6", "4", before);
    assert.match(await textOf(page, "#past"), /3-1-2-4.*2 hours ago/);
  }));
