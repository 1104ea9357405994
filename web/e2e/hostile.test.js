// What arrives is hostile until it is checked: a bad file or link changes
// nothing and says what is wrong with it.
import assert from "node:assert/strict";
import { Buffer } from "node:buffer";
import { test } from "node:test";
import { withPhone } from "./helpers.js";
import { beginContest, doing, kept, offer, openDemo, shared, sign, stubShare, tap, tapDrawing, textOf, visit } from "./journey.js";

const flipped = (bytes, at) => {
  const copy = Buffer.from(bytes);
  copy[at] ^= 1;
  return copy;
};

test("a bad file is named, said to be bad, and changes nothing", () =>
  withPhone({}, async ({ phone }) => {
    const page = await phone.start();
    await sign(phone, "HF");
    await visit(page, "", "home");
    const contest = await openDemo(phone);
    await visit(page, contest, "hand-over");
    const { bytes } = await phone.download(() => doing(page, "hand-over.save").click());
    await phone.saved();
    await visit(page, "", "home");
    const before = await kept(page);

    const bad = [
      { name: "half.txt", bytes: bytes.subarray(0, bytes.length / 2), says: /not whole|missing|cut|ends|damaged/i },
      { name: "bus.txt", bytes: Buffer.from("Dear all,\nthe bus leaves at nine.\n"), says: /not|no /i },
      { name: "flipped.txt", bytes: flipped(bytes, Math.floor(bytes.length / 2)), says: /damaged|changed|whole|check/i },
      { name: "flipped-late.txt", bytes: flipped(bytes, bytes.length - 40), says: /damaged|changed|whole|check/i },
      { name: "photo.jpg", bytes: Buffer.from("ffd8ffe000104a46494600010100000100010000", "hex"), says: /not|no /i },
      { name: "names.csv", bytes: Buffer.from("Number,Name\r\n1,Wren\r\n"), says: /not|no /i },
    ];
    for (const file of bad) {
      await offer(phone, file);
      const told = await textOf(page, "#taking .notice.bad");
      assert.ok(told.includes(file.name), `${told} names ${file.name}`);
      assert.match(told, file.says, file.name);
      assert.match(told, /Nothing was changed/);
      assert.equal(await page.locator('[data-do="take-in.accept"]').count(), 0);
      assert.deepEqual(await kept(page), before, file.name);
    }

    // A good file among bad ones is taken for what it is, and the bad one is still named.
    await offer(phone, { name: "good.txt", bytes });
    assert.match(await textOf(page, "#coming"), /on this phone already/);
    for (const files of [[{ name: "good.txt", bytes }, bad[1]], [bad[1], { name: "good.txt", bytes }]]) {
      await offer(phone, ...files);
      await page.locator("#coming").waitFor();
      await page.locator("#taking .notice.bad").waitFor();
      assert.match(await textOf(page, "#taking .notice.bad"), /bus\.txt/);
      assert.deepEqual(await kept(page), before);
    }
  }));

/** Fails the test if the page shows a dialog or takes something in as markup. */
function noMarkup(page) {
  page.on("dialog", (dialog) => {
    dialog.dismiss();
    assert.fail(`a dialog: ${dialog.message()}`);
  });
  return () => page.evaluate(() => document.querySelectorAll("#app img[src], #app script, #app iframe, #app [onerror], #app [onclick]").length);
}

test("a hostile results link is refused in words", () =>
  withPhone({}, async ({ phone }) => {
    const page = await phone.start();
    const strange = noMarkup(page);
    await stubShare(phone);
    const contest = await beginContest(phone, "HL", [7]);
    await visit(page, contest, "settings");
    const name = '<img src=x onerror="alert(1)"> & "Sons"';
    await page.fill("#f-name", name);
    await page.press("#f-name", "Tab");
    await phone.saved();
    await visit(page, contest, "share");
    const good = new URL((await shared(page, "share.link")).text.split("\n").at(-1)).hash;
    await visit(page, "", "home");
    const before = await kept(page);

    const code = good.split("/").at(-1);
    const other = (letter) => (letter === "A" ? "B" : "A");
    const changed = (at) => code.slice(0, at) + other(code[at]) + code.slice(at + 1);
    for (const link of ["", "AAAA", "%00%ff", "<script>alert(1)</script>", "A".repeat(30_000), code.slice(0, -4), code + code, changed(2), changed(code.length >> 1)]) {
      await visit(page, "", "results-link", ...(link ? [link] : []));
      await page.locator("#results-link .notice.bad").waitFor();
      assert.match(await textOf(page, "#results-link .notice.bad"), /link|whole/i);
      assert.equal(await strange(), 0);
    }
    await page.evaluate(() => {
      location.hash = `#/results-link/${"A".repeat(70_000)}`;
    });
    await page.locator("#home").waitFor(); // longer than any address of the app

    // Letters are letters, whatever they say.
    await page.evaluate((to) => {
      location.hash = to;
    }, good);
    await page.locator("#linked").waitFor();
    assert.equal(await page.textContent("#linked h2"), name);
    assert.equal(await strange(), 0);
    assert.deepEqual(await kept(page), before);
  }));

test("a hostile call link is refused in words and leaves the call as it is", () =>
  withPhone({}, async ({ phone }) => {
    const page = await phone.start();
    const strange = noMarkup(page);
    await visit(page, "", "call");
    await tapDrawing(page, "call.site:breast");
    await tap(page, "call.defect:breast:bare-flesh", "call.set:length:1/2 in", "call.leave");
    await phone.saved();
    const call = await textOf(page, "#verdict-bar");
    const before = await kept(page);

    const pack = (what) => `1${Buffer.from(JSON.stringify(what)).toString("base64url")}`;
    const bird = { b: "carcass-youth", k: "chicken", w: "4 lb" };
    const finding = { d: "bare-flesh", s: "breast", l: "1/2 in" };
    const links = {
      letters: "1!!!!",
      "not JSON": `1${Buffer.from("{").toString("base64url")}`,
      "another version": "9AAAA",
      "a strange book": pack({ ...bird, b: "<b>book</b>" }),
      "a strange bird": pack({ ...bird, k: "<script>alert(1)</script>" }),
      "a strange weight": pack({ ...bird, w: "900 lb" }),
      "a strange fault": pack({ ...bird, f: [{ ...finding, d: '<img src=x onerror="alert(1)">' }] }),
      "a strange length": pack({ ...bird, f: [{ ...finding, l: "-3 in" }] }),
      "a strange count": pack({ ...bird, f: [{ ...finding, n: 1e9 }] }),
      "too many": pack({ ...bird, f: Array(41).fill(finding) }),
      "too long": `1${"A".repeat(9000)}`,
    };
    for (const [what, link] of Object.entries(links)) {
      await visit(page, "", "home");
      await visit(page, "", "call", link);
      await page.locator("#call .notice.bad").waitFor();
      assert.ok((await textOf(page, "#call .notice.bad")).length > 20, what);
      assert.equal(await textOf(page, "#verdict-bar"), call, what);
      assert.equal(await strange(), 0, what);
      assert.deepEqual(await kept(page), before, what);
    }
  }));
