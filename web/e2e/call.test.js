// One bird, one question: a fault is tapped, measured, and the grade follows.
import assert from "node:assert/strict";
import { test } from "node:test";
import { withPhone } from "./helpers.js";
import { doing, drawn, shared, stubShare, tap, tapDrawing, textOf } from "./journey.js";

// Bare flesh on the breast of a bird over 2 and up to 6 lb: up to 1/4 in is
// an A, up to a third of the part a B (University of Georgia Extension, poultry
// judging, as the youth book cites it).
const grade = (page) => textOf(page, "#verdict-bar .verdict-grade");
const because = (page) => textOf(page, "#verdict-bar .verdict-text");

test("a bare spot on the breast is called, kept and shared", () =>
  withPhone({}, async ({ server, phone }) => {
    await stubShare(phone);
    const page = await phone.start();
    await tap(page, "open:#/call");
    await page.locator("#call").waitFor();
    assert.match(await grade(page), /^A\b/);

    await tapDrawing(page, "call.site:breast");
    await tap(page, "call.defect:breast:bare-flesh");
    // Three steps of 1/16 in: still below the limit, and the reason names both.
    await tap(page, "call.step:length:1", "call.step:length:1", "call.step:length:1");
    assert.equal(await textOf(page, ".stepper-main"), "3/16 in");
    assert.match(await grade(page), /^A\b/);
    for (let i = 0; i < 5; i++) {
      await tap(page, "call.step:length:1");
    }
    assert.equal(await textOf(page, ".stepper-main"), "1/2 in");
    assert.match(await grade(page), /^B\b/);
    assert.match(await because(page), /1\/2 in.*A allows up to 1\/4 in/);

    // The same by hand, in the other unit: 13 mm is a little more than half an inch.
    await page.fill("#f-length", "13 mm");
    await page.press("#f-length", "Enter");
    await drawn(page);
    assert.match(await because(page), /13 mm/);
    assert.match(await grade(page), /^B\b/);
    await page.fill("#f-length", "2 mm");
    await page.press("#f-length", "Tab");
    await page.waitForFunction(() => document.querySelector("#verdict-bar .verdict-grade").innerText.trim().startsWith("A"));
    await page.fill("#f-length", "13 mm");
    await page.press("#f-length", "Tab");
    await page.waitForFunction(() => document.querySelector("#verdict-bar .verdict-grade").innerText.trim().startsWith("B"));

    // What cannot be read is said beside the field, and the bird stays as it was.
    await page.fill("#f-length", "13 thumbs");
    await page.press("#f-length", "Tab");
    await page.locator("#f-length-error").waitFor();
    assert.match(await textOf(page, "#f-length-error"), /13 thumbs/);
    assert.match(await because(page), /13 mm/);

    // The reasons are one tap away, each with its source.
    await tap(page, "call.leave", "call.why");
    const set = await textOf(page, "#set");
    assert.match(set, /A allows up to 1\/4 in/);
    assert.match(set, /Georgia/i);

    await phone.saved();
    await phone.reload();
    assert.match(await grade(page), /^B\b/);
    assert.match(await because(page), /13 mm/);
    assert.match(await textOf(page, "#found"), /13 mm/);

    const { text } = await shared(page, "call.share");
    assert.match(text, /B.*13 mm/);
    assert.match(text, /not an official grade/);
    const link = text.split("\n").at(-1);
    assert.ok(link.startsWith(`${server.url}#/call/`), `${link} is a page of this app`);

    // The link brings the same call to a phone that never saw it.
    await tap(page, "call.new");
    await page.waitForFunction(() => !document.querySelector("#found"));
    assert.match(await grade(page), /^A\b/);
    await phone.saved();
    await page.goto(link);
    await phone.ready();
    await page.locator("#found").waitFor();
    assert.match(await because(page), /13 mm/);
    assert.match(await grade(page), /^B\b/);
    await tap(page, "call.undo");
    assert.match(await grade(page), /^A\b/);
  }));

test("a bird is called by keyboard alone", () =>
  withPhone({}, async ({ phone }) => {
    const page = await phone.start();
    await page.locator("#call, #home").waitFor();
    // From the first page: the way to the call, the breast, the fault, its length.
    const reach = async (action) => {
      for (let i = 0; i < 120; i++) {
        if (await doing(page, action).evaluate((e) => e === document.activeElement, null, { timeout: 1000 }).catch(() => false)) {
          return;
        }
        await page.keyboard.press("Tab");
      }
      assert.fail(`${action} cannot be reached by Tab`);
    };
    await reach("open:#/call");
    await page.keyboard.press("Enter");
    await page.locator("#call").waitFor();
    await reach("call.site:breast");
    await page.keyboard.press("Enter");
    await page.locator("#what").waitFor();
    await reach("call.defect:breast:bare-flesh");
    await page.keyboard.press("Enter");
    await page.locator("#much").waitFor();
    await reach("call.set:length:1/2 in");
    await page.keyboard.press("Space");
    await page.waitForFunction(() => document.querySelector("#verdict-bar .verdict-grade").innerText.trim().startsWith("B"));
    await page.keyboard.press("Escape");
    await page.locator("#found").waitFor();
    await page.keyboard.press("u");
    await page.waitForFunction(() => document.querySelector("#verdict-bar .verdict-grade").innerText.trim().startsWith("A"));
  }));
