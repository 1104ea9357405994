// A whole contest on two phones that never meet a server again: set up, keyed,
// handed over by file, keyed twice, settled, handed over again, and the same
// results to the byte.
import assert from "node:assert/strict";
import { test } from "node:test";
import { withPhone } from "./helpers.js";
import { contestOf, doing, drawn, kept, look, offer, shared, stubShare, tap, tapDrawing, textOf, visit } from "./journey.js";

const PEOPLE = [
  [101, "Wren Alderly", "Oak Hollow", "Junior"],
  [102, "Odd Bramwell", "Oak Hollow", "Senior"],
  [103, "Isa Corrow", "Oak Hollow", "Junior"],
  [201, "Tam Dunnock", "Salt Marsh", "Senior"],
  [202, "Una Eaves", "Salt Marsh", "Junior"],
  [203, "Per Fallow", "Salt Marsh", "Senior"],
];
const BAD = "two hundred and four\tVal Gorse\tSalt Marsh\tJunior";
const TSV = ["Number\tName\tTeam\tDivision", ...PEOPLE.map((p) => p.join("\t")), BAD].join("\n");

const GRADES = ["A", "B", "C", "NG"];
const KEY = ["B", "A", "C", "A", "B", "NG", "A", "C", "B", "A"];
const CARDS = {
  101: ["B", "A", "C", "A", "B", "NG", "A", "C", "B", "A"],
  102: ["A", "A", "C", "A", "B", "C", "A", "C", "B", "A"],
  103: ["B", "B", "B", "B", "B", "B", "B", "B", "B", "B"],
  201: ["C", "A", "A", "A", "B", "NG", "B", "C", "B", "B"],
  202: ["B", "A", "C", "C", "A", "NG", "A", "A", "B", "A"],
  203: ["NG", "NG", "C", "A", "B", "NG", "A", "C", "C", "A"],
};
const HENS = [2, 1, 4, 3];
const CUTS = [3, 4, 2];
const ORDERS = { 101: [2, 1, 3, 4], 102: [2, 1, 4, 3], 103: [3, 4, 1, 2], 201: [1, 2, 4, 3], 202: [4, 2, 1, 3], 203: [2, 4, 1, 3] };

/**
 * Points of a graded card: 10 an item, 3 off for each line crossed between A, B
 * and C and 4 between C and no grade (Penn State Extension, state poultry
 * judging rules).
 */
function graded(card) {
  const at = { A: 0, B: 3, C: 6, NG: 10 };
  return card.reduce((sum, mark, i) => sum + 10 - Math.abs(at[mark] - at[KEY[i]]), 0);
}

/**
 * Points of a placing: 50 less, for each pair turned round, the cuts between
 * the two (University of Nebraska-Lincoln, NebGuide G2092).
 */
function placed(order) {
  let points = 50;
  for (let i = 0; i < 4; i++) {
    for (let j = i + 1; j < 4; j++) {
      if (order.indexOf(HENS[i]) > order.indexOf(HENS[j])) {
        points -= CUTS.slice(i, j).reduce((a, b) => a + b);
      }
    }
  }
  return points;
}

const mark = (grade) => `keying.mark:${GRADES.indexOf(grade) + 1}`;

async function back(page) {
  await page.click("#back");
  await page.locator("#overview").waitFor();
}

async function waitForCard(page, number) {
  await page.waitForFunction((n) => location.hash.match(/\/keying\/\d+\/(\d+)/)?.[1] === n, String(number));
  await drawn(page);
}

/** Begins a contest with two classes and their keys, and six contestants. */
async function setUp(phone) {
  const { page } = phone;
  await tap(page, "open:#/new");
  await page.fill("#f-name", "Quarry Road Poultry Day");
  await page.fill("#f-date", "2026-10-03");
  await page.fill("#f-place", "Grange hall");
  await page.fill("#f-initials", "AB");
  await page.uncheck("#f-sealed"); // the phones here join without an invitation
  await page.click("#new-start");
  await page.locator("#overview").waitFor();
  const contest = contestOf(page);

  await page.click("#next-do");
  await tap(page, "class.add:carcass-youth");
  await page.fill("#f-name", "Broilers");
  await page.press("#f-name", "Tab");
  await tap(page, `open:#/c/${contest}/class/new`, "class.add:placing");
  await page.waitForFunction(() => document.querySelector("#title").textContent.includes("2"));
  await back(page);

  await tap(page, `open:#/c/${contest}/people`, `open:#/c/${contest}/people/paste`);
  const before = await kept(page);
  await page.fill("#f-paste", TSV);
  await page.locator("#preview").waitFor();
  assert.match(await textOf(page, "#lines-bad"), /two hundred and four/, "the bad line is shown, with why");
  assert.match(await textOf(page, "#preview"), /Oak Hollow, Salt Marsh/);
  assert.deepEqual(await kept(page), before, "nothing is written by looking");
  await tap(page, "people.take");
  assert.equal(await page.inputValue("#f-paste"), `Number\tName\tTeam\tDivision\n${BAD}`, "the bad line stays");
  await tap(page, "people.paste-drop", `open:#/c/${contest}/people`);
  assert.match(await textOf(page, "#list"), /6 contestants/);
  await back(page);

  await setCarcassKey(page, contest);
  await setHenKey(page, contest);
  return contest;
}

async function setCarcassKey(page, contest) {
  await tap(page, `open:#/c/${contest}/key/1`);
  const next = async () => {
    await page.click("#next");
    await drawn(page);
  };
  for (const [i, answer] of KEY.entries()) {
    switch (i) {
      case 0: // half an inch of bare breast is a B by the book
        await tapDrawing(page, "key.site:breast");
        await tap(page, "key.defect:breast:bare-flesh", "key.set:length:1/2 in", "key.leave");
        break;
      case 2: // a bone that comes through is a C by the book
        await tapDrawing(page, "key.site:wing-left");
        await tap(page, "key.defect:wing-left:break-protruding", "key.leave");
        break;
      default:
        await tap(page, `key.answer:${answer}`);
    }
    if (i < KEY.length - 1) {
      await next();
    }
  }
  assert.deepEqual(await page.locator("#at-tiles .tile-answer").allInnerTexts(), KEY);
  await page.click("#lock summary");
  await tap(page, "key.lock");
  await page.locator('[data-do="key.correct"]').waitFor();
  await back(page);
}

async function setHenKey(page, contest) {
  await tap(page, `open:#/c/${contest}/key/2`, ...HENS.slice(0, 3).map((hen) => `key.hen:${hen}`));
  for (const [i, cut] of CUTS.entries()) {
    for (let n = Number(await page.locator("#cuts .stepper-main").nth(i).innerText()); n !== cut; n += Math.sign(cut - n)) {
      await tap(page, `key.cut:${i + 1}:${Math.sign(cut - n)}`);
    }
  }
  assert.deepEqual(await page.locator("#cuts .stepper-main").allInnerTexts(), CUTS.map(String));
  await page.click("#lock summary");
  await tap(page, "key.lock");
  await back(page);
}

/** Keys all cards of both classes; the last of the graded ones by keyboard alone. */
async function keyAll(phone, contest) {
  const { page } = phone;
  await tap(page, `open:#/c/${contest}/keying/1`);
  for (const [number] of PEOPLE) {
    await waitForCard(page, number);
    for (const grade of CARDS[number]) {
      if (number === 203) {
        await page.keyboard.press(grade === "NG" ? "n" : grade.toLowerCase());
      } else {
        await doing(page, mark(grade)).click();
      }
    }
  }
  await page.locator("#done").waitFor();
  await page.click("#next-class");
  for (const [number] of PEOPLE) {
    await waitForCard(page, number);
    for (const hen of ORDERS[number].slice(0, 3)) {
      await doing(page, `keying.mark:${hen}`).click();
      await drawn(page);
    }
  }
  await page.locator("#done").waitFor();
  await phone.saved();
}

async function keyCard(page, number, card) {
  await waitForCard(page, number);
  for (const grade of card) {
    await doing(page, mark(grade)).click();
  }
}

async function handOver(phone, contest) {
  await visit(phone.page, contest, "hand-over");
  const file = await phone.download(() => doing(phone.page, "hand-over.save").click());
  await phone.saved();
  assert.match(file.name, /^quarry-road-poultry-day-.*\.keelcard\.txt$/);
  return file;
}

async function takeIn(phone, file) {
  await offer(phone, file);
  const told = await textOf(phone.page, "#coming");
  await tap(phone.page, "take-in.accept");
  await phone.page.locator("#overview").waitFor();
  await phone.saved();
  return told;
}

/** Everything that goes out of a phone as results. */
async function results(phone, contest) {
  const { page } = phone;
  await visit(page, contest, "share");
  await doing(page, "share.sign:off").click(); // each phone would sign with its own key
  const link = (await shared(page, "share.link")).text.split("\n").at(-1);
  const { text } = await shared(page, "share.text");
  const csv = await phone.download(() => doing(page, "share.csv:plain").click());
  return { link: new URL(link).hash, text, csv: csv.bytes.toString("utf8") };
}

test("two phones run a contest without a network and come to the same results", { timeout: 300_000 }, () =>
  withPhone({}, async ({ server, phone: a, more }) => {
    const b = await more();
    for (const phone of [a, b]) {
      await phone.start();
      await phone.stored();
      await stubShare(phone);
    }
    await server.stop();
    for (const phone of [a, b]) {
      await phone.reload(); // from what is stored, with nobody to ask
    }

    const contest = await setUp(a);
    assert.match(await takeIn(b, await handOver(a, contest)), /new to this phone/);
    await b.page.fill("#f-initials", "CD");
    await b.page.press("#f-initials", "Tab");
    await drawn(b.page);
    await keyAll(b, contest);

    // On the first phone, the cards of 101 and 102 are keyed as well: one with
    // a slip in item 3, one alike.
    const slip = CARDS[101].with(2, "B");
    await visit(a.page, contest, "keying", "1");
    await keyCard(a.page, 101, slip);
    await keyCard(a.page, 102, CARDS[102]);
    await waitForCard(a.page, 103);
    await a.saved();

    const fromA = await handOver(a, contest);
    const fromB = await handOver(b, contest);
    await offer(a, fromB);
    const faults = await look(a, "take-in-coming");
    assert.deepEqual(faults, []);
    for (const [phone, file] of [
      [a, fromB],
      [b, fromA],
    ]) {
      const told = await takeIn(phone, file);
      assert.match(told, /1 answer will be confirmed/);
      assert.match(told, /1 answer will be in question/);
      await visit(phone.page, contest, "questions");
      assert.equal(await phone.page.locator("#questions-list li").count(), 1);
      assert.match(await textOf(phone.page, "#questions-list"), /101/);
      await visit(phone.page, contest, "history", "6", "1", "102");
      assert.equal(await phone.page.locator("#past > ol > li").count(), 2, "both keyings of the card are kept");
    }

    // Not settled: the card earns nothing, and the results say that they wait.
    await visit(a.page, contest, "results");
    assert.match(await textOf(a.page, "#results .notice"), /in question/);

    // Settled on the first phone with the paper card at hand: item 3 is a C.
    await visit(a.page, contest, "questions");
    await a.page.locator("#questions-list button").click();
    await a.page.locator("#question").waitFor();
    assert.deepEqual(await a.page.locator('[id^="pick-"]').evaluateAll((picks) => picks.map((p) => p.id)), ["pick-3-1", "pick-3-2"]);
    await a.page.locator('[id^="pick-3-"]', { hasText: "C" }).click();
    await tap(a.page, "questions.settle");
    await a.page.locator("#questions").waitFor();
    await a.saved();
    assert.equal(await a.page.locator("#questions-list").count(), 0);
    assert.match(await takeIn(b, await handOver(a, contest)), /1 question will be settled/);

    const [ofA, ofB] = [await results(a, contest), await results(b, contest)];
    assert.equal(ofA.link, ofB.link);
    assert.equal(ofA.csv, ofB.csv);
    assert.equal(ofA.text, ofB.text);
    assert.match(ofA.text, /^Quarry Road Poultry Day 2026-10-03\n/);
    assert.ok(!ofA.text.includes("Wren") && !ofA.csv.includes("Wren"), "no names unless asked for");

    // The points are those of the published tables.
    const lines = ofA.csv.trim().split("\r\n").map((line) => line.split(","));
    const column = (name) => lines[0].indexOf(name);
    for (const [number] of PEOPLE) {
      const line = lines.find((l) => l[column("Number")] === String(number));
      const want = [graded(CARDS[number]), placed(ORDERS[number])];
      assert.deepEqual(line.slice(-3).map(Number), [...want, want[0] + want[1]], `points of ${number}`);
    }

    // Nothing of it is lost when both are switched off and on again.
    for (const phone of [a, b]) {
      await phone.restart();
      await phone.start(`#/c/${contest}/results`);
      await phone.page.locator("#ranking").waitFor();
      await stubShare(phone);
    }
    assert.deepEqual([await results(a, contest), await results(b, contest)], [ofA, ofA]);
  }));
