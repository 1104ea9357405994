// The phone dies while cards are keyed: whatever it showed as kept is there
// when it is opened again, and it opens on the same card.
import assert from "node:assert/strict";
import { test } from "node:test";
import { withPhone } from "./helpers.js";
import { beginContest, browserOf, doing, visit } from "./journey.js";

// After how many further marks the browser is killed: in the middle of a card,
// at its end, just after it, and at the very first.
const KILLS = [1, 4, 5, 10, 3, 17, 2, 9, 11, 6, 13, 7];

const ITEMS = 10;
const first = 101;
const ANSWERS = 3;

/** The answer keyed for an item: a different run for every card. */
const answer = (number, item) => ((number * 7 + item * item) % ANSWERS) + 1;

/** Ends the browser at once, as when the battery is taken out. */
async function kill(phone) {
  const gone = new Promise((resolve) => phone.context.once("close", resolve));
  process.kill(-(await browserOf(phone)), "SIGKILL");
  await gone;
}

/**
 * Reports every state of the page that it shows as kept: whose card is open,
 * and what is told on it.
 */
function watchKept() {
  const look = () => {
    const where = document.querySelector(".where")?.innerText ?? "";
    const number = parseInt(document.querySelector("#other")?.innerText, 10);
    if (number && where && !where.includes("Writing")) {
      const marks = [...document.querySelectorAll(".tiles .tile-answer")].map((tile) => tile.textContent).join(" ").trim();
      const now = `${number}: ${marks}`;
      if (now !== look.last) {
        look.last = now;
        window.reportKept(number, marks ? marks.split(" ").length : 0);
      }
    }
    requestAnimationFrame(look);
  };
  requestAnimationFrame(look);
}

test("whatever is shown as kept outlives the death of the browser", { timeout: 300_000 }, () =>
  withPhone({}, async ({ phone }) => {
    await phone.start();
    const people = Math.ceil(KILLS.reduce((a, b) => a + b) / ITEMS) + 1;
    const contest = await beginContest(phone, "KK", Array.from({ length: people }, (_, i) => first + i));
    await phone.stored();

    // Marks are counted through: card after card, ten on each.
    let told = 0; // marks tapped so far, or what was found after the last kill
    let shown = 0; // of these, shown as kept
    let proved = 0; // marks of all rounds that were shown as kept before a kill
    const count = (number, marks) => (number - first) * ITEMS + marks;
    const problems = [];

    for (const [round, more] of KILLS.entries()) {
      await phone.page.exposeFunction("reportKept", (number, marks) => {
        shown = Math.max(shown, count(number, marks));
      });
      await visit(phone.page, contest, "keying", "1");
      await phone.page.locator("#pad").waitFor();
      await phone.page.evaluate(watchKept);
      const began = told;
      for (let i = 0; i < more; i++) {
        const number = first + Math.floor(told / ITEMS);
        const item = told % ITEMS;
        await doing(phone.page, `keying.mark:${answer(number, item)}`).click();
        told++;
      }
      await kill(phone);
      const atLeast = shown;
      proved += Math.max(0, atLeast - began);
      await phone.open();
      await phone.start(`#/c/${contest}/keying/1`);
      await phone.page.locator("#pad").waitFor();

      const number = Number(phone.page.url().match(/\/keying\/\d+\/(\d+)/)[1]);
      const marks = (await phone.page.locator(".tiles .tile-answer").allInnerTexts()).map((text) => text.trim()).filter(Boolean);
      const found = count(number, marks.length);
      if (found < atLeast || found > told) {
        problems.push(`kill ${round + 1}: ${atLeast} were shown as kept of ${told}, ${found} were found`);
      }
      const want = marks.map((_, item) => "ABC"[answer(number, item) - 1]);
      assert.deepEqual(marks, want, `marks on the card of ${number}`);
      told = shown = found;
    }
    assert.deepEqual(problems, []);
    const all = KILLS.reduce((a, b) => a + b);
    assert.ok(proved > all / 2, `of ${all} marks only ${proved} were shown as kept before a kill`);

    // Every card that was finished on the way holds what was tapped.
    for (let number = first; number < first + Math.floor(told / ITEMS); number++) {
      await visit(phone.page, contest, "history", "6", "1", `${number}`);
      const text = await phone.page.locator("#past li").first().innerText();
      const want = Array.from({ length: ITEMS }, (_, item) => "ABC"[answer(number, item) - 1]).join(" ");
      assert.ok(text.startsWith(want), `card ${number}: ${text}`);
    }
  }));
