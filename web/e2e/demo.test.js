// The demo contest, as someone looks at it who was sent the address.
import assert from "node:assert/strict";
import { test } from "node:test";
import { LAPTOP, PHONE, withPhone } from "./helpers.js";
import { contestOf, look, openDemo, sign, tap, tapDrawing, visit } from "./journey.js";

for (const [name, viewport] of Object.entries({ phone: PHONE, laptop: LAPTOP })) {
  for (const scheme of ["light", "dark"]) {
    test(`from the first page to a slip and the share page, on a ${scheme} ${name}`, () =>
      withPhone({ viewport, scheme }, async ({ phone }) => {
        const page = await phone.start();
        await openDemo(phone);
        assert.equal(await page.textContent("#title"), "Tamarack County Poultry Day");
        const contest = contestOf(page);
        await tap(page, `open:#/c/${contest}/results`);
        const winner = page.locator('[id^="rank-"]').first();
        const told = await winner.innerText();
        await winner.click();
        await page.locator("#slip").waitFor();
        // The slip is that of the contestant who was tapped.
        const number = new URL(page.url()).hash.split("/").at(-1);
        assert.ok(told.includes(number), `${told} has the number ${number}`);
        assert.match(await page.textContent("#title"), new RegExp(`^${number} `));
        await tap(page, `open:#/c/${contest}/results`, `open:#/c/${contest}/share`);
        await page.locator("#share").waitFor();
        const message = await page.textContent("#message");
        assert.match(message, /^Tamarack County Poultry Day 2026-09-19\n/);
        assert.ok(!message.includes("Ashdown"), "no names of contestants unless asked for");
      }));
  }
}

test("every page keeps nobody out, bright and dim", { timeout: 300_000 }, () =>
  withPhone({}, async ({ phone }) => {
    const page = await phone.start();
    const faults = [];
    const see = async (name) => faults.push(...(await look(phone, name)));
    await see("home-empty");
    await sign(phone, "QA");
    await see("phone");
    await visit(page, "", "about");
    await see("about");
    await visit(page, "", "new");
    await see("new");
    await visit(page, "", "take-in");
    await see("take-in");

    await visit(page, "", "call");
    await tapDrawing(page, "call.site:breast");
    await see("call-what");
    await tap(page, "call.defect:breast:bare-flesh", "call.set:length:1/2 in");
    await see("call-much");
    await tap(page, "call.leave");
    await see("call");

    await visit(page, "", "home");
    const contest = await openDemo(phone);
    await see("overview");
    const there = async (shot, ...to) => {
      await visit(page, contest, ...to);
      await see(shot);
    };
    await there("settings", "settings");
    await there("class", "class", "1");
    await there("class-placing", "class", "3");
    await there("class-new", "class", "new");
    await there("people", "people");
    await there("teams", "people", "teams");
    await there("person", "person", "101");
    await there("key", "key", "1", "2");
    await there("key-placing", "key", "3");
    await there("keying-classes", "keying");
    await there("questions", "questions");
    await there("history-latest", "history");
    await there("results", "results");
    await there("results-teams", "results", "teams");
    await there("results-classes", "results", "classes");
    await there("slip", "slip", "101");
    await there("share", "share");
    await there("hand-over", "hand-over");

    await visit(page, contest, "people", "paste");
    await page.fill("#f-paste", "101\tAda Ashdown\tBluestem\tJunior\n201\tNils Kestrel\tAlder Creek\tSenior\nno number\tSomebody\n");
    await page.locator("#preview").waitFor();
    await see("people-paste");

    await visit(page, contest, "keying", "2", "101", "again");
    await tap(page, "keying.mark:1", "keying.mark:2", "keying.mark:1");
    await see("keying-half");
    await visit(page, contest, "keying", "4");
    await tap(page, "keying.mark:3");
    await see("keying-hens-half");

    await visit(page, contest, "questions");
    await page.locator("#questions-list button").first().click();
    await page.locator("#question").waitFor();
    await see("question");
    await page.locator('[data-do^="open:"][data-do*="/history/"]').first().click();
    await page.locator("#history").waitFor();
    await see("history");

    assert.deepEqual(faults, []);
  }));
