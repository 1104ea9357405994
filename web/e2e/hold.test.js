// What a hand is doing is not disturbed: a field that is being typed in keeps
// its text and its caret, and of two tabs only one writes.
import assert from "node:assert/strict";
import { test } from "node:test";
import { withPhone } from "./helpers.js";
import { beginContest, doing, drawn, kept, openDemo, sign, tap, textOf, visit } from "./journey.js";

const field = (page, id) =>
  page.evaluate((of) => {
    const e = document.getElementById(of);
    return { text: e.value, caret: e.selectionStart, focused: document.activeElement === e };
  }, id);

test("a field that is being typed in keeps focus, caret and text while saves come in", () =>
  withPhone({}, async ({ phone }) => {
    const page = await phone.start();
    const contest = await beginContest(phone, "TY", [101, 102, 103]);
    await visit(page, contest, "person", "102");

    // Beside the typing, records are written and the page is drawn anew all the time.
    const before = await page.evaluate(() => {
      let late = false;
      window.disturbing = setInterval(() => {
        late = !late;
        document.querySelector(`[data-do="person.out:${late ? "late" : ""}"]`).click();
      }, 30);
      return window.keelcard.saved;
    });
    await page.focus("#f-name");
    await page.keyboard.type("Alderly, Wren", { delay: 40 });
    await page.keyboard.press("Home");
    await page.keyboard.type("van ", { delay: 40 });
    assert.deepEqual(await field(page, "f-name"), { text: "van Alderly, Wren", caret: 4, focused: true });
    await page.keyboard.press("Delete");
    await page.keyboard.type("A", { delay: 40 });
    await page.waitForFunction((n) => window.keelcard.saved >= n + 10, before);
    await drawn(page);
    assert.deepEqual(await field(page, "f-name"), { text: "van Alderly, Wren", caret: 5, focused: true });
    await page.evaluate(() => clearInterval(window.disturbing));
    await page.keyboard.press("Tab");
    await drawn(page);
    await phone.saved();
    await phone.reload();
    await page.locator("#person").waitFor();
    assert.equal(await page.inputValue("#f-name"), "van Alderly, Wren");
  }));

test("a search that draws the page with every letter keeps focus, caret and text", () =>
  withPhone({}, async ({ phone }) => {
    const page = await phone.start();
    const contest = await openDemo(phone);
    await visit(page, contest, "people");
    await page.focus("#f-find");
    await page.keyboard.type("Bluestm");
    await page.keyboard.press("ArrowLeft");
    await page.keyboard.type("e");
    await drawn(page);
    assert.deepEqual(await field(page, "f-find"), { text: "Bluestem", caret: 7, focused: true });
    await page.waitForFunction(() => document.querySelectorAll('#list [data-do*="/person/"]').length === 4);
    assert.match(await textOf(page, "#list li"), /Bluestem/);
    await page.keyboard.press("End");
    await page.keyboard.type("xx");
    await page.waitForFunction(() => document.querySelectorAll('#list [data-do*="/person/"]').length === 0);
    assert.deepEqual(await field(page, "f-find"), { text: "Bluestemxx", caret: 10, focused: true });
  }));

test("of two tabs only the first writes, and the other takes over when it is closed", () =>
  withPhone({}, async ({ server, phone }) => {
    const first = await phone.start();
    await sign(phone, "TB");
    await visit(first, "", "home");
    const contest = await openDemo(phone);

    const second = await phone.context.newPage();
    await second.goto(`${server.url}#/c/${contest}/keying/4`);
    await phone.ready(second);
    await second.locator("#reader").waitFor();
    assert.match(await textOf(second, "#reader"), /only one tab writes/);
    await second.locator("#pad").waitFor();

    // It shows everything and refuses to write, in words.
    const before = await kept(second);
    await tap(second, "keying.mark:3");
    await second.locator("#notice").waitFor();
    assert.match(await textOf(second, "#notice"), /only one tab writes.*takes over by itself/i);
    assert.equal((await second.locator(".tiles .tile-answer").allInnerTexts()).join("").trim(), "");
    assert.deepEqual(await kept(second), before);

    // The first goes on as if nothing were there.
    await visit(first, contest, "keying", "4");
    await tap(first, "keying.mark:3", "keying.mark:1");
    await phone.saved(first);
    await first.close();

    await second.locator("#reader").waitFor({ state: "detached" });
    // It has what the first wrote last, and goes on from there.
    await second.waitForFunction(() => [...document.querySelectorAll(".tiles .tile-answer")].map((e) => e.innerText.trim()).join("") === "31");
    const number = await second.locator("#other").innerText();
    await doing(second, "keying.mark:2").click();
    await second.waitForFunction((old) => document.querySelector("#other").innerText !== old, number);
    await phone.saved(second);
    await second.reload();
    await phone.ready(second);
    await visit(second, contest, "history", "6", "4", String(parseInt(number, 10)));
    assert.match(await textOf(second, "#past"), /3-1-2-4.*TB/);
  }));

test("a button that was just tapped says what it stands for now", () =>
  withPhone({}, async ({ phone }) => {
    const page = await phone.start();
    const contest = await beginContest(phone, "BT", [1]);
    await visit(page, contest, "class", "new");
    await tap(page, "class.add:placing");
    await visit(page, contest, "key", "2");
    await tap(page, "key.hen:2");
    assert.equal(await textOf(page, '[data-do="key.hen:2"]'), "2 1st");
    await tap(page, "key.hen:1");
    assert.equal(await textOf(page, '[data-do="key.hen:1"]'), "1 2nd");

    // The same place on the pad of another class.
    await visit(page, contest, "keying", "1");
    await tap(page, "keying.mark:1");
    assert.equal(await textOf(page, '[data-do="keying.mark:1"]'), "A");
    await visit(page, contest, "keying", "2");
    assert.equal(await textOf(page, '[data-do="keying.mark:1"]'), "1");
    await visit(page, contest, "keying", "1");
    assert.equal(await textOf(page, '[data-do="keying.mark:1"]'), "A");
  }));

test("a button stays under the finger that ends the typing above it", () =>
  withPhone({}, async ({ phone }) => {
    const page = await phone.start("#/new");
    await page.fill("#f-name", "Quarry Road Poultry Day");
    await page.fill("#f-initials", "ST");
    await page.locator("#new-start").scrollIntoViewIfNeeded();
    const box = await page.locator("#new-start").boundingBox();
    await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2);
    await page.mouse.down(); // the field loses the focus and what it holds is kept
    await page.waitForFunction(() => window.keelcard.saved > 1);
    await drawn(page);
    await page.mouse.up();
    await page.locator("#overview").waitFor();
    assert.equal(await page.locator("#who").count(), 0, "once the page is left nobody is asked again");
  }));
