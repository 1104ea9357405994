// What is shared to the app from elsewhere reaches the page that it is for: cold,
// without a network, and whatever it is.
import assert from "node:assert/strict";
import { Buffer } from "node:buffer";
import { readFile, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { test } from "node:test";
import { withPhone } from "./helpers.js";
import { drawn, kept, tap, textOf } from "./journey.js";

const repository = (path) => readFile(new URL(`../../${path}`, import.meta.url));

const bundle = await repository("testdata/files/v1/mixed.txt");
const results = await repository("testdata/files/v1/results.txt");
const published = JSON.parse(await repository("engine/rulebook/books/parts-youth.json"));
const book = Buffer.from(JSON.stringify({ ...published, id: "barn-parts", title: "Parts in our barn" }));
const backup = Buffer.concat([Buffer.from("KEELSAFE\x01"), Buffer.alloc(80)]);
const file = (name, buffer, mimeType = "text/plain") => ({ name, mimeType, buffer });

/**
 * Shares something to the app as the browser does when somebody chose it in the
 * share sheet: the form that the manifest promises is sent from elsewhere, as the
 * first thing that this browser does.
 */
async function share(phone, url, { files = [], ...texts }) {
  const { share_target: target } = JSON.parse(await repository("web/shell/manifest.webmanifest"));
  const { page } = phone;
  await page.goto("about:blank");
  await page.setContent('<form><input type="file" multiple></form>');
  await page.evaluate(
    ({ action, target, texts }) => {
      const form = document.forms[0];
      Object.assign(form, { action, method: target.method, enctype: target.enctype });
      form.elements[0].name = target.params.files[0].name;
      for (const [name, text] of Object.entries(texts)) {
        const field = document.createElement("textarea");
        field.name = target.params[name];
        field.value = text;
        form.append(field);
      }
    },
    { action: new URL(target.action, url).href, target, texts },
  );
  await page.setInputFiles("input", files);
  await page.evaluate(() => document.forms[0].submit());
  await page.waitForURL(/#\//);
  await phone.ready();
}

/** A phone that has the app, is off the network, and has just been switched on. */
const cold = (play) =>
  withPhone({}, async ({ server, phone }) => {
    await phone.start();
    await phone.stored();
    await server.stop();
    const again = async (what) => {
      await phone.restart();
      await share(phone, server.url, what);
      return phone.page;
    };
    await play({ phone, server, again });
  });

const none = (page) => page.waitForFunction(async () => (await (await caches.open("keelcard-shared")).keys()).length === 0);

test("each thing of ours that is shared, cold and without a network, opens where it belongs", () =>
  cold(async ({ phone, again }) => {
    const link = `Results of the day\n${"https://cards.example/app/"}#/results-link/${Buffer.from("KR").toString("base64url")}`;
    const cases = [
      [{ files: [file("day.keelcard.txt", bundle)] }, "#coming", /new to this phone/],
      [{ files: [file("day", bundle, "application/octet-stream")] }, "#coming", /new to this phone/],
      [{ files: [file("keelcard-backup-mb.txt", backup)] }, "#backup", /keelcard-backup-mb\.txt/],
      [{ files: [file("barn.json", book, "application/json")] }, "#notice", /Parts in our barn is on this phone now/],
      [{ files: [file("results.txt", results)] }, "#linked", /./],
      [{ text: `From the table by the door:\n${bundle}` }, "#coming", /new to this phone/],
      [{ title: "Results", text: link }, "#results-link", /link|whole/i],
      [{ title: "Results", url: link.split("\n")[1] }, "#results-link", /link|whole/i],
      [{ text: "Dear all, the bus leaves at nine." }, "#taking .notice.bad", /What was shared: .*not a Keelcard file/],
      [{ files: [file("photo.jpg", Buffer.from("ffd8ffe000104a464946", "hex"), "image/jpeg")] }, "#taking .notice.bad", /photo\.jpg: .*a picture/],
      [{ files: [file("empty.txt", Buffer.alloc(0))] }, "#taking .notice.bad", /empty\.txt: .*nothing in it/],
    ];
    for (const [what, where, says] of cases) {
      const page = await again(what);
      await page.locator(where).first().waitFor();
      assert.match(await textOf(page, where), says);
      await none(page);
      await phone.saved();
    }
    assert.equal(Object.keys(await kept(phone.page)).filter((key) => key.startsWith("contest/")).length, 0, "nothing was taken in");
  }));

test("several files that are shared at once stand side by side, and each opens", () =>
  cold(async ({ phone, again }) => {
    const page = await again({ files: [file("day.keelcard.txt", bundle), file("barn.book.txt", book), file("photo.jpg", Buffer.from("ffd8ffe0", "hex"))] });
    await page.locator("#coming").waitFor();
    assert.match(await textOf(page, "#taking .notice.bad"), /photo\.jpg/);
    assert.match(await textOf(page, "#beside"), /barn\.book\.txt: A rule book/);
    await none(page);
    await tap(page, "take-in.accept");
    await phone.saved();
    await page.locator("#coming").waitFor({ state: "detached" });
    await tap(page, "take-in.lead:0");
    await page.locator("#notice").waitFor();
    assert.match(await textOf(page, "#notice"), /Parts in our barn is on this phone now/);
    await phone.saved();
    const keys = Object.keys(await kept(page));
    assert.ok(keys.includes("meta/book/barn-parts"), "the book is kept");
    assert.equal(keys.filter((key) => key.startsWith("contest/")).length, 1, "the contest is kept");
  }));

test("a file that is too large is named, beside one that is not", () =>
  cold(async ({ phone, again }) => {
    // By their places on the disk: what is handed to the browser otherwise goes there in one message.
    const files = ["film.mp4", "day.keelcard.txt"].map((name) => join(phone.profile, name));
    await Promise.all([writeFile(files[0], Buffer.alloc(33 << 20)), writeFile(files[1], bundle)]);
    const page = await again({ files });
    await page.locator("#coming").waitFor();
    assert.match(await textOf(page, "#taking .notice.bad"), /film\.mp4: .*33 MB.*32 MB/);
    await none(page);
  }));

test("what the browser cannot hand over is said to be where it was", () =>
  cold(async ({ phone, server, again }) => {
    const page = await again({ files: [file("day.keelcard.txt", bundle)] });
    // A form that is none: the service worker cannot read it.
    await page.goto("about:blank");
    await page.setContent(`<form method="post" enctype="text/plain" action="${server.url}share"><input name="file" value="x"></form>`);
    await page.evaluate(() => document.forms[0].submit());
    await page.waitForURL(/take-in\/lost$/);
    await phone.ready();
    assert.match(await textOf(page, "#taking .notice.bad"), /did not arrive.*where it was/);
  }));

test("files that the app is opened with are taken in, and so are those that come while it is open", () =>
  withPhone({}, async ({ phone }) => {
    const { page } = phone;
    await page.addInitScript(() => {
      let consumer;
      window.launch = (...files) => consumer({ files: files.map(([name, text]) => ({ name, getFile: async () => (text === null ? Promise.reject(new Error("gone")) : new File([text], name)) })) });
      Object.defineProperty(window, "launchQueue", { value: { setConsumer: (f) => (consumer = f) } });
    });
    await phone.start();
    await page.evaluate((text) => window.launch(["day.keelcard.txt", text]), String(bundle));
    await page.locator("#coming").waitFor();
    await page.evaluate((text) => window.launch(["barn.book.txt", text], ["gone.txt", null]), String(book));
    await page.locator("#beside").waitFor();
    await drawn(page);
    assert.match(await textOf(page, "#beside"), /barn\.book\.txt/);
    assert.match(await textOf(page, "#taking .notice.bad"), /gone\.txt: .*could not read the file/);
    await page.locator("#coming").waitFor();
  }));
