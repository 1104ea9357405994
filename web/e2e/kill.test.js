// The phone dies while it is used: whatever it showed as kept is there when it
// is opened again, and it opens on the same card.
import assert from "node:assert/strict";
import { test } from "node:test";
import { MOMENTS, SHORT_LIVED, die, mayDie } from "./dying.js";
import { soon, withPhone } from "./helpers.js";
import { beginContest, browserOf, doing, drawn, offer, sign, tap, visit } from "./journey.js";

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
  await soon(gone, "the browser to be dead");
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

test("whatever is shown as kept outlives the death of the browser", () =>
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

// Below, the page dies at a chosen operation of its store: the first, then the
// second and so on to the last of a few taps, over and over, until each kind of
// work was broken off this often.
const DEATHS = { keying: 80, key: 44, undo: 40, "take-in": 44 };

/**
 * Lets the page die over and over at one kind of work. work.round gives the
 * steps of a round, and what is to be read at work.hash when none of them is
 * kept, the first, the first two and so on. After a death it has to be one of
 * these, no earlier than what the app had counted as saved and no later than
 * what was tapped. Gives what became of the steps.
 */
async function dieOver(phone, name, work) {
  const sum = { name, deaths: 0, saved: 0, late: 0, never: 0 };
  let [operation, walks] = [0, 0];
  const moments = new Set();
  for (let rounds = 0; sum.deaths < DEATHS[name]; rounds++) {
    assert.ok(rounds < 2 * DEATHS[name], `only ${sum.deaths} deaths while working on ${name}`);
    const { steps, states } = await work.round(rounds);
    const end = await die(phone, steps, ++operation);
    const { what, told, safe } = end ?? { told: steps.length, safe: steps.length };
    if (end) {
      sum.deaths++;
      moments.add(what);
      await phone.start(work.hash);
    } else {
      operation = 0;
      walks++;
      await phone.page.evaluate((to) => (location.hash = to), work.hash);
      await drawn(phone.page);
    }
    const found = await work.read(phone.page);
    const kept = states.indexOf(found);
    assert.ok(
      safe <= kept && kept <= told,
      `${name}, death ${sum.deaths}, at operation ${operation} (${what}): ${safe} of ${told} steps were saved, found is "${found}" of\n${states.join("\n")}`,
    );
    work.kept(kept);
    sum.saved += safe;
    sum.late += kept - safe;
    sum.never += told - kept;
  }
  assert.equal(moments.size, MOMENTS, `the page died at ${[...moments].join(", ")}`);
  assert.ok(walks > 0, `${name} was never walked through to its last operation`);
  assert.ok(sum.late > 0 && sum.never > 0, `${name} was never broken off in the middle of a save`);
  return sum;
}

/** The answers in the tiles of a card or key. */
const answersIn = (page, tiles) =>
  page.locator(tiles).evaluateAll((all) => all.map((tile) => tile.querySelector(".tile-answer")?.textContent.trim() || "-").join(" "));

const AT_ONCE = 5; // marks tapped in a round

/** Cards keyed one after another, whether the last mark is saved already or not. */
function keyingWork(contest) {
  let done = 0; // marks
  const state = (marks) => {
    const number = first + Math.floor(marks / ITEMS);
    const card = Array.from({ length: ITEMS }, (_, item) => (item < marks % ITEMS ? "ABC"[answer(number, item) - 1] : "-"));
    return `${number}: ${card.join(" ")}`;
  };
  return {
    hash: `#/c/${contest}/keying/1`,
    async read(page) {
      await page.locator("#pad").waitFor();
      return `${parseInt(await page.locator("#other").innerText(), 10)}: ${await answersIn(page, ".tiles .tile")}`;
    },
    round(rounds) {
      const marks = Array.from({ length: AT_ONCE }, (_, i) => done + i);
      const steps = marks.map((mark, i) => ({
        tap: `keying.mark:${answer(first + Math.floor(mark / ITEMS), mark % ITEMS)}`,
        wait: (rounds + i) % 3 > 0,
      }));
      return { steps, states: [...marks, done + AT_ONCE].map(state) };
    },
    kept: (steps) => (done += steps),
    cards: () => Math.floor(done / ITEMS),
  };
}

const GRADES = ["A", "B", "C", "NG"];

/** The key: answers set and changed, or, with undo, two that are taken back. */
function keyWork(contest, phone, key, undo) {
  let states;
  const change = (i) => {
    const item = i % ITEMS;
    const grade = GRADES[(GRADES.indexOf(key[item]) + 1) % GRADES.length];
    return { hash: `#/c/${contest}/key/1/${item + 1}`, tap: `key.answer:${grade}`, wait: i % 2 === 0, item, grade };
  };
  return {
    hash: `#/c/${contest}/key/1`,
    async read(page) {
      await page.locator("#at-tiles").waitFor();
      return answersIn(page, "#at-tiles .tile");
    },
    async round(rounds) {
      const changes = [3 * rounds, 3 * rounds + 1].map(change);
      states = [key];
      for (const { item, grade } of changes) {
        states.push(states.at(-1).with(item, grade));
      }
      let steps = changes;
      if (undo) {
        await phone.page.evaluate((list) => window.dying.play(list, 0), changes);
        states.reverse();
        steps = changes.map((_, i) => ({ tap: "key.undo", wait: i === 0 }));
      }
      return { steps, states: states.map((state) => state.join(" ")) };
    },
    kept: (steps) => key.splice(0, ITEMS, ...states[steps]),
  };
}

/** What another phone keyed is taken in, a card more each time it arrived. */
function takeInWork(contest, phone, other) {
  let cards = 0;
  let file;
  return {
    hash: `#/c/${contest}/keying/1`,
    async read(page) {
      await page.locator("#pad").waitFor();
      return `${parseInt(await page.locator("#other").innerText(), 10)}`;
    },
    async round() {
      file ??= await oneCardMore(other, contest, first + cards);
      await offer(phone, file);
      return { steps: [{ tap: "take-in.accept", wait: true }], states: [first + cards, first + cards + 1].map(String) };
    },
    kept(steps) {
      if (steps > 0) {
        cards++;
        file = null;
      }
    },
  };
}

async function oneCardMore(phone, contest, number) {
  await visit(phone.page, contest, "keying", "1");
  for (let item = 0; item < ITEMS; item++) {
    await doing(phone.page, `keying.mark:${answer(number, item)}`).click();
  }
  await phone.saved();
  return handOver(phone, contest);
}

async function handOver(phone, contest) {
  await visit(phone.page, contest, "hand-over");
  const file = await phone.download(() => doing(phone.page, "hand-over.save").click());
  await phone.saved();
  return file;
}

const PEOPLE = Array.from({ length: 40 }, (_, i) => first + i);

test("whatever is counted as saved outlives a death at any operation of the store", () =>
  withPhone({ flags: SHORT_LIVED, seconds: 400 }, async ({ phone: one, more }) => {
    const began = performance.now();
    const [two, other] = [await more(), await more()];
    for (const phone of [one, two, other]) {
      await phone.start();
    }
    const contest = await beginContest(one, "KK", PEOPLE);
    const begun = await handOver(one, contest);
    for (const [phone, initials] of [
      [two, "TT"],
      [other, "OO"],
    ]) {
      await offer(phone, begun);
      await tap(phone.page, "take-in.accept");
      await phone.page.locator("#overview").waitFor();
      await sign(phone, initials);
    }
    for (const phone of [one, two]) {
      await phone.stored();
      await mayDie(phone);
    }

    const keying = keyingWork(contest);
    const blank = () => Array(ITEMS).fill("-");
    const over = async (phone, name, work) => {
      await phone.start(work.hash);
      const { deaths, saved, late, never } = await dieOver(phone, name, work);
      console.log(`${name}: ${deaths} deaths; of what was tapped ${saved} were counted as saved, 0 of them lost; ${late} more were found, ${never} not`);
    };
    await Promise.all([
      over(one, "keying", keying).then(() => over(one, "key", keyWork(contest, one, blank(), false))),
      over(two, "take-in", takeInWork(contest, two, other)).then(() => over(two, "undo", keyWork(contest, two, blank(), true))),
    ]);
    console.log(`in ${Math.round((performance.now() - began) / 1000)} s`);

    // Every card that was finished on the way holds what was tapped.
    for (let number = first; number < first + keying.cards(); number++) {
      await visit(one.page, contest, "history", "6", "1", `${number}`);
      const text = await one.page.locator("#past li").first().innerText();
      const want = Array.from({ length: ITEMS }, (_, item) => "ABC"[answer(number, item) - 1]).join(" ");
      assert.ok(text.startsWith(want), `card ${number}: ${text}`);
    }
  }));
