// The program comes in two parts. The second, with the pages that are opened
// later, arrives by itself once the first page is drawn, and is kept with the
// rest of the app.
import assert from "node:assert/strict";
import { test } from "node:test";
import { withPhone } from "./helpers.js";
import { openDemo, textOf, visit } from "./journey.js";

const REST = "**/rest.wasm";

const here = (page) => page.waitForFunction(() => window.keelcard.rest === "here");

test("the second part comes by itself, and not before the first page is drawn", () =>
  withPhone({}, async ({ phone }) => {
    let early = false;
    await phone.page.route(REST, async (route) => {
      early ||= !(await phone.page.evaluate(() => window.keelcard.ready));
      await route.continue();
    });
    const page = await phone.start();
    await here(page);
    assert.equal(early, false, "it was asked for while the first page was still to come");
  }));

test("a page of the second part waits for it, and then opens where it was going", () =>
  withPhone({}, async ({ phone }) => {
    let release;
    const held = new Promise((resolve) => (release = resolve));
    await phone.page.route(REST, async (route) => {
      await held;
      await route.continue();
    });
    const page = await phone.start("#/take-in");
    assert.match(await textOf(page, "#title"), /getting ready/);
    await phone.accessible();
    release();
    await page.locator("#taking").waitFor();
    await here(page);
  }));

test("when the second part does not come the page says what to do, and does it when asked again", () =>
  withPhone({ context: { serviceWorkers: "block" } }, async ({ phone }) => {
    phone.mayFail = true; // the browser reports the request
    await phone.page.route(REST, (route) => route.abort());
    const page = await phone.start("#/new");
    await page.locator('[data-do="rest-again"]').waitFor();
    await phone.fits();
    await phone.accessible();
    await phone.shot("rest-failed");
    await phone.tap("open:#/");
    await page.locator("#home").waitFor(); // the rest of the app goes on
    await phone.tap("demo.open");
    await page.locator("#notice").waitFor();
    await page.unroute(REST);
    await page.goBack();
    await page.locator("#new").waitFor();
    await here(page);
  }));

test("every page opens without a network once the app is kept", () =>
  withPhone({}, async ({ server, phone }) => {
    await phone.start();
    await phone.stored();
    await server.stop();
    await phone.restart();
    const page = await phone.start();
    const contest = await openDemo(phone);
    for (const to of [["history"], ["settings"], ["class", "new"], ["people"], ["results"], ["share"], ["hand-over"], ["questions"]]) {
      await visit(page, contest, ...to);
    }
    assert.equal(await page.evaluate(() => window.keelcard.rest), "here");
  }));
