// A full contest of three divisions from its type to its results, on one phone
// that has no connection after its first load: twelve classes, sixty
// contestants, every card keyed, a ruling, and the results held against sums
// that share no code with the app.
import assert from "node:assert/strict";
import { test } from "node:test";
import { withPhone } from "./helpers.js";
import { contestOf, doing, drawn, kept, look, shared, stubShare, tap, tapDrawing, textOf, visit } from "./journey.js";
import { OUT, checked, graded, named, placed, score, written } from "./scorer.js";

const NAME = "Fallow Creek Poultry Contest";

/** Numbers from 0 up to below n, the same in every run. */
function numbers(seed) {
  let state = seed;
  return (n) => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return Math.floor((state / 2 ** 32) * n);
  };
}

const TEAMS = ["Alder Bend", "Birch Flat", "Cedar Gap", "Dogwood", "Elder Hill", "Fern Hollow", "Gale Point", "Hazel Run", "Iris Lake", "Juniper Pass", "Kelp Sound", "Larch Ridge", "Maple Fork", "Nettle Cove"];
const FIRST = ["Ada", "Bo", "Cleo", "Dov", "Esme", "Finn", "Gus", "Hana", "Ilse", "Jo", "Kit", "Lark"];
const LAST = ["Acorn", "Bracken", "Clover", "Dale", "Ember", "Furrow", "Grove"];

// Fourteen teams of four and four who came alone. Every other team is one of
// juniors, and one junior is in each of the others but the last.
const PEOPLE = [];
for (const [t, team] of TEAMS.entries()) {
  for (let member = 1; member <= 4; member++) {
    const junior = t % 2 === 0 || (member === 1 && t < 12);
    PEOPLE.push({ number: (t + 1) * 10 + member, team, group: junior ? "Junior" : "Senior" });
  }
}
for (let n = 151; n <= 154; n++) {
  PEOPLE.push({ number: n, team: "", group: n % 2 ? "Senior" : "Junior" });
}
for (const [i, person] of PEOPLE.entries()) {
  person.penalty = person.number === 53 ? 1000 : 0; // came late
  person.name = `${FIRST[i % 12]} ${LAST[i % 7]}`;
}

const GRADES = ["A", "B", "C", "NG"];
const SHELL = ["A", "B", "Dirty", "Loss"];
const LIGHT = ["AA", "A", "B", "Loss"];
const PARTS = ["half", "front half", "rear half", "whole breast with ribs", "boneless skinless whole breast with rib meat", "whole breast", "boneless skinless whole breast", "split breast with ribs", "boneless skinless split breast with rib meat", "split breast", "boneless skinless split breast", "breast quarter", "breast quarter without wing", "tenderloin", "wishbone", "leg quarter", "leg", "thigh with back portion", "thigh", "boneless skinless thigh", "drumstick", "boneless skinless drum", "wing", "drumette", "wing portion", "liver", "gizzard", "heart", "neck", "paws"];

// The classes in the order of the contest. A key is what the officials set: for
// faults, the numbers of those that are there, as the page lists them.
const CLASSES = [
  { no: 1, kind: "placing", division: "Live birds", order: [3, 1, 4, 2], cuts: [3, 4, 2] },
  { no: 2, kind: "placing", division: "Live birds", order: [2, 4, 1, 3] },
  { no: 3, kind: "awarded", division: "Live birds" },
  { no: 4, kind: "graded", division: "Market poultry", answers: GRADES, key: ["B", "A", "C", "A", "B", "NG", "A", "C", "B", "A"] },
  { no: 5, kind: "graded", division: "Market poultry", answers: GRADES, key: ["A", "A", "B", "C", "A", "B", "NG", "B", "A", "C"] },
  { no: 6, kind: "named", division: "Market poultry", answers: PARTS, key: ["half", "whole breast", "split breast with ribs", "leg quarter", "leg", "drumstick", "wing", "wing portion", "neck", "paws"] },
  { no: 7, kind: "graded", division: "Market poultry", answers: GRADES, key: ["C", "A", "B", "B", "A", "NG", "A", "B", "C", "A"] },
  { no: 8, kind: "checked", division: "Market poultry", faults: 5, key: [[1], [], [2], [3], [], [1, 4], [5], [], [4], [2]] },
  { no: 9, kind: "graded", division: "Eggs", answers: SHELL, key: ["A", "B", "Dirty", "A", "Loss", "A", "B", "A", "A", "Dirty", "A", "B", "A", "Loss", "B", "A", "A", "Dirty", "A", "B"] },
  { no: 10, kind: "graded", division: "Eggs", answers: LIGHT, key: ["AA", "A", "B", "A", "Loss", "AA", "A", "B", "AA", "A", "A", "B", "Loss", "AA", "A", "AA", "B", "A", "Loss", "A"] },
  { no: 11, kind: "graded", division: "Eggs", answers: LIGHT, key: ["A", "AA", "B", "A", "Loss", "AA", "A", "B", "AA", "A"] },
  { no: 12, kind: "checked", division: "Eggs", faults: 10, key: [[1, 8], [], [2], [4, 9], [10]] },
];
const byNo = (no) => CLASSES.find((c) => c.no === no);

/** What one contestant marks in a class: the key, with slips. */
function card(c, draw) {
  const slip = draw(100) < 45;
  switch (c.kind) {
    case "placing": {
      const order = [...c.order];
      for (let n = draw(4); n > 0; n--) {
        const at = draw(3);
        [order[at], order[at + 1]] = [order[at + 1], order[at]];
      }
      return order;
    }
    case "awarded":
      return 55 + draw(46);
    case "checked":
      return c.key.map((found) => (draw(100) < 25 ? toggled(found, 1 + draw(c.faults)) : found));
    case "named":
      return c.key.map((name) => (draw(100) < 20 ? c.answers[draw(c.answers.length)] : name));
  }
  return c.key.map((right) => (draw(100) < (slip ? 40 : 20) ? c.answers[draw(4)] : right));
}

const toggled = (list, n) => (list.includes(n) ? list.filter((m) => m !== n) : [...list, n].sort((a, b) => a - b));

// Every card, by class and number. Some are made alike, so that places have to
// be parted or shared: 22 is as 21 in all; 32 as 31, with ten points of reasons
// more and a part less; the last team as the one before but for its alternate.
const CARDS = new Map();
{
  const draw = numbers(20261003);
  for (const { number } of PEOPLE) {
    for (const c of CLASSES) {
      CARDS.set(`${c.no}/${number}`, card(c, draw));
    }
  }
  const copy = (to, from) => CLASSES.forEach((c) => CARDS.set(`${c.no}/${to}`, CARDS.get(`${c.no}/${from}`)));
  copy(22, 21);
  copy(32, 31);
  CARDS.set("6/31", byNo(6).key);
  CARDS.set("6/32", byNo(6).key.with(4, "heart"));
  CARDS.set("3/31", 70);
  CARDS.set("3/32", 80);
  for (let member = 1; member <= 4; member++) {
    copy(140 + member, 130 + member);
  }
  CARDS.set("3/134", 20);
  CARDS.set("3/144", 30);
  CARDS.set("4/134", Array(10).fill("NG"));
  CARDS.set("4/144", Array(10).fill("NG"));
}
const cardOf = (no, number) => CARDS.get(`${no}/${number}`);

/** The points of a class by its key as it stands. */
function pointsIn(c) {
  return (number) => {
    const marked = cardOf(c.no, number);
    switch (c.kind) {
      case "placing":
        return placed(c, marked);
      case "awarded":
        return marked * 100;
      case "named":
        return named(c.key, marked);
      case "checked":
        return checked(c.faults, c.key, marked);
    }
    return graded(c.answers, c.key, marked);
  };
}

/** The whole contest scored with a pencil. */
const scored = (classes) =>
  score({ classes: classes.map((c) => ({ ...c, points: pointsIn(c) })), people: PEOPLE, ties: [3, 4], best: 3 });

/** The keys of the keyboard for a card. */
function keysOf(c, marked) {
  switch (c.kind) {
    case "placing":
      return marked.slice(0, 3).map(String);
    case "awarded":
      return [...String(marked).padStart(2, "0"), ...(marked === 10 ? ["Enter"] : [])];
    case "named":
      return marked.flatMap((name) => [...String(PARTS.indexOf(name) + 1).padStart(2, "0")]);
    case "checked":
      return marked.flatMap((found) => (found.length ? [...found.map((n) => (n === 10 ? "x" : String(n))), "Enter"] : ["n"]));
  }
  return marked.map((mark) => String(c.answers.indexOf(mark) + 1));
}

/** The taps for a card. */
function tapsOf(c, marked) {
  switch (c.kind) {
    case "placing":
      return marked.slice(0, 3).map((hen) => `keying.mark:${hen}`);
    case "awarded":
      return [...String(marked).padStart(2, "0")].map((digit) => `keying.type:${digit}`);
    case "named":
      return marked.map((name) => `keying.mark:${PARTS.indexOf(name) + 1}`);
    case "checked":
      return marked.flatMap((found) => (found.length ? [...found.map((n) => `keying.mark:${n}`), "keying.on"] : ["keying.none"]));
  }
  return marked.map((mark) => `keying.mark:${c.answers.indexOf(mark) + 1}`);
}

/** A keyboard that is typed on as fast as the browser takes it. */
async function keyboardOf(phone) {
  const cdp = await phone.context.newCDPSession(phone.page);
  const special = { Enter: { key: "Enter", code: "Enter", windowsVirtualKeyCode: 13 } };
  return (keys) =>
    Promise.all(
      keys.flatMap((key) => {
        const event = special[key] ?? { key, text: key };
        return [cdp.send("Input.dispatchKeyEvent", { type: "keyDown", ...event }), cdp.send("Input.dispatchKeyEvent", { type: "keyUp", ...event, text: undefined })];
      }),
    );
}

const address = (contest, ...page) => `open:#/c/${[contest, ...page].join("/")}`;

/** Begins the contest in one tap, from its type. */
async function begin(phone) {
  const { page } = phone;
  await tap(page, "open:#/new");
  await page.fill("#f-name", NAME);
  await page.fill("#f-date", "2026-10-17");
  await page.fill("#f-initials", "AB");
  await page.press("#f-initials", "Tab");
  await see(phone, "full-new");
  await page.uncheck("#f-sealed"); // the phones here join without an invitation
  await tap(page, "new.start:full");
  await page.locator("#overview").waitFor();
  await phone.saved();
  await see(phone, "full-overview");
  assert.equal(await page.locator("#classes section").count(), CLASSES.length);
  return contestOf(page);
}

/** Pastes all contestants, with teams and age groups. */
async function pastePeople(phone, contest) {
  const { page } = phone;
  await tap(page, address(contest, "people"), address(contest, "people", "paste"));
  await page.fill("#f-paste", ["Number\tName\tTeam\tAge group", ...PEOPLE.map((p) => [p.number, p.name, p.team, p.group].join("\t"))].join("\n"));
  await page.locator("#preview").waitFor();
  await see(phone, "full-paste");
  await tap(page, "people.take");
  await page.locator("#list").waitFor();
  assert.match(await textOf(page, "#list h2"), /^60 contestants/);
  await phone.saved();
}

async function lock(page) {
  await page.click("#lock summary");
  await tap(page, "key.lock");
  await page.locator('[data-do="key.correct"]').waitFor();
}

/** Sees each hen by herself, and takes the order and the cuts that follow. */
async function keyByWorksheet(phone, contest) {
  const { page } = phone;
  const places = ["earlobe", "feet", "shank-front"];
  const bleached = { 1: [3, 3, 1], 2: [2, 1, 1], 3: [3, 3, 3], 4: [3, 1, 1] }; // taps: yellow, fading, bleached
  await tap(page, address(contest, "key", "1"));
  await tap(page, address(contest, "hens", "1"));
  await page.locator("#worksheet").waitFor();
  for (let hen = 1; hen <= 4; hen++) {
    await page.locator("#hen-h", { hasText: String(hen) }).waitFor();
    for (const [i, place] of places.entries()) {
      for (let n = 0; n < bleached[hen][i]; n++) {
        await page.click(`#row-${place}`);
      }
    }
    if (hen === 3) {
    }
    await page.click("#next");
    await drawn(page);
  }
  assert.equal(await textOf(page, "#proposed-order"), byNo(1).order.join("-"), "the most bleached hen goes first");
  await see(phone, "full-worksheet");
  await tap(page, "hens.order");
  await tap(page, "hens.cuts", address(contest, "key", "1"));
  byNo(1).cuts = (await page.locator("#cuts .stepper-main").allInnerTexts()).map(Number);
  assert.ok(byNo(1).cuts.every((cut) => cut > 0) && byNo(1).cuts.reduce((a, b) => a + b) <= 15);
  await see(phone, "full-key-hens");
  await lock(page);
}

/** Taps an order and steps its cuts. */
async function keyByOrder(page, contest) {
  const cuts = [2, 5, 3];
  byNo(2).cuts = cuts;
  await tap(page, address(contest, "key", "2"), ...byNo(2).order.slice(0, 3).map((hen) => `key.hen:${hen}`));
  for (const [i, cut] of cuts.entries()) {
    for (let n = Number(await page.locator("#cuts .stepper-main").nth(i).innerText()); n !== cut; n += Math.sign(cut - n)) {
      await tap(page, `key.cut:${i + 1}:${Math.sign(cut - n)}`);
    }
  }
  await lock(page);
}

async function back(page) {
  await page.click("#back");
  await page.locator("#overview").waitFor();
}

async function next(page) {
  await page.click("#next");
  await drawn(page);
}

/** Keys a graded class by tapping answers; some items by what is seen there. */
async function keyGraded(phone, contest, no, findings = {}) {
  const { page } = phone;
  const { key } = byNo(no);
  await tap(page, address(contest, "key", String(no)));
  for (const [i, answer] of key.entries()) {
    if (findings[i]) {
      await findings[i](page);
    } else {
      await tap(page, `key.answer:${answer}`);
    }
    if (i < key.length - 1) {
      await next(page);
    }
  }
  await lock(page);
  await back(page);
}

async function keyAll(phone, contest) {
  const { page } = phone;
  await keyByWorksheet(phone, contest);
  await back(page);
  await keyByOrder(page, contest);
  await back(page);
  await keyGraded(phone, contest, 4, {
    0: async () => {
      await tapDrawing(page, "key.site:breast"); // half an inch of bare breast is a B by the book
      await tap(page, "key.defect:breast:bare-flesh", "key.set:length:1/2 in");
      await tap(page, "key.leave");
    },
  });
  await keyByKeyboard(phone, contest, 5);
  await keyByPaste(phone, contest);
  await keyGraded(phone, contest, 7);
  await keyFaults(phone, contest, 8);
  await keyGraded(phone, contest, 9, {
    1: async () => {
      await tap(page, "key.site:middle"); // a shape that is not quite usual is a B by the book
      await tap(page, "key.defect:middle:shape-unusual");
      await tap(page, "key.leave");
    },
  });
  await keyByKeyboard(phone, contest, 10);
  await keyGraded(phone, contest, 11);
  await keyFaults(phone, contest, 12);
}

/** Keys a graded class by its letters and the arrow to the next. */
async function keyByKeyboard(phone, contest, no) {
  const { page } = phone;
  const { key } = byNo(no);
  await tap(page, address(contest, "key", String(no)));
  for (const [i, answer] of key.entries()) {
    const letter = answer[0].toLowerCase();
    const like = byNo(no).answers.filter((one) => one[0].toLowerCase() === letter);
    for (const one of like.slice(0, like.indexOf(answer) + 1)) {
      await page.keyboard.press(letter); // each press goes to the next answer that begins so
      await page.locator(`[data-do="key.answer:${one}"][aria-pressed="true"]`).waitFor();
    }
    if (i < key.length - 1) {
      await page.keyboard.press("ArrowRight");
      await page.waitForFunction((item) => location.hash.endsWith(`/${item}`), i + 2);
    }
  }
  await lock(page);
  await back(page);
}

/** Pastes the names of the parts, one of them by another word for it. */
async function keyByPaste(phone, contest) {
  const { page } = phone;
  await tap(page, address(contest, "key", "6"));
  await tap(page, "key.paste");
  await page.fill("#f-paste", byNo(6).key.map((name) => (name === "wing portion" ? "flat" : name)).join("\n"));
  await page.locator("#paste-read").waitFor();
  await see(phone, "full-key-paste");
  await tap(page, "key.paste-take");
  await lock(page);
  await back(page);
}

/** Taps the faults of each item; an item without any goes on by itself. */
async function keyFaults(phone, contest, no) {
  const { page } = phone;
  const { key } = byNo(no);
  await tap(page, address(contest, "key", String(no)));
  for (const [i, found] of key.entries()) {
    if (found.length === 0) {
      await tap(page, "key.none");
      continue;
    }
    await tap(page, ...found.map((n) => `key.fault:${n}`));
    if (i === 0) {
      await see(phone, `full-key-${no}`);
    }
    if (i < key.length - 1) {
      await next(page);
    }
  }
  await lock(page);
  await back(page);
}

/** Waits until a contestant's card is open. */
async function waitForCard(page, number) {
  await page.waitForFunction((n) => location.hash.match(/\/keying\/\d+\/(\d+)/)?.[1] === n, String(number));
}

/** Keys every card of a class: the first by taps, the others by keyboard. */
async function keyCards(phone, contest, c, type) {
  const { page } = phone;
  await visit(page, contest, "keying", String(c.no));
  const [first, ...others] = PEOPLE.map((p) => p.number);
  await waitForCard(page, first);
  await tap(page, ...tapsOf(c, cardOf(c.no, first)));
  await waitForCard(page, others[0]);
  if ([3, 6, 8, 9, 12].includes(c.no)) {
    await see(phone, `full-cards-${c.no}`);
  }
  for (const number of others) {
    await type(keysOf(c, cardOf(c.no, number)));
  }
  await page.locator("#done").waitFor();
  await phone.saved();
}

/** Takes ten points off for coming late. */
async function takeOff(phone, contest) {
  const { page } = phone;
  await visit(page, contest, "people");
  await page.fill("#f-find", "53");
  await tap(page, address(contest, "person", "53"));
  await page.fill("#f-penalty", "10");
  await page.press("#f-penalty", "Tab");
  await page.locator("#f-penalty-why").waitFor();
  await see(phone, "full-person");
}

/** The lines of a ranking as they stand on the page. */
function ranking(page, list) {
  return page.locator(`#${list} .list > li`).evaluateAll((rows) =>
    rows.map((row) => {
      const text = (part) => row.querySelector(`.item-${part}`)?.textContent ?? "";
      return { place: Number.parseInt(text("lead"), 10), shared: /\D/.test(text("lead")), who: text("title"), points: text("value") };
    }),
  );
}

/** The lines that a ranking should have: equal ones by number, as the list has them. */
function lines(rows, place, points, who = (row) => `${row.number} ${row.name}`) {
  const sorted = [...rows].sort((a, b) => place(a) - place(b));
  return sorted.map((row) => ({
    place: place(row),
    shared: rows.filter((other) => place(other) === place(row)).length > 1,
    who: who(row),
    points: written(points(row)),
  }));
}

/** Holds every ranking of the results page against the sums. */
async function compareResults(phone, contest, want) {
  const { page } = phone;
  await visit(page, contest, "results");
  const holds = async (what, rows) => {
    assert.deepEqual(await ranking(page, what), rows);
  };
  const choose = async (what, value) => {
    await page.selectOption(`#f-${what}`, value);
    await drawn(page);
  };
  await holds("ranking", lines(want.rows, (row) => row.rank, (row) => row.total));
  for (const group of ["Junior", "Senior"]) {
    await choose("group", group);
    await holds("ranking", lines(want.rows.filter((row) => row.group === group), (row) => row.groupRank, (row) => row.total));
  }
  await choose("group", "");
  for (const division of want.divisions) {
    await choose("division", division);
    await holds("ranking", lines(want.rows, (row) => row[division].place, (row) => row[division].points));
  }
  await choose("division", "");
  await visit(page, contest, "results", "teams");
  await holds("team-ranking", lines(want.teams, (team) => team.rank, (team) => team.total, (team) => team.name));
}

/** Allows a second answer on an item, and gives whom the preview names before. */
async function rule(phone, contest, before, after) {
  const { page } = phone;
  await visit(page, contest, "results", "classes");
  await see(phone, "full-classes");
  await tap(page, address(contest, "ruling", "4"));
  await tap(page, address(contest, "ruling", "4", "3"), "ruling.way:also", "ruling.pick:2");
  await page.locator("#preview").waitFor();
  await see(phone, "full-ruling");
  const moved = (list, name) => list.filter((row, i) => row.rank !== after[name][i].rank).map((row) => row.number ?? row.name);
  const shown = await page.locator("#preview").evaluate((preview) =>
    [...preview.querySelectorAll('[id^="moves-"]')].map((row) => ({ number: Number(row.id.slice(6)), text: row.innerText.replace(/\s/g, " ") })));
  assert.deepEqual(shown.map((row) => row.number).sort((a, b) => a - b), moved(before.rows, "rows"));
  for (const { number, text } of shown) {
    const [from, to] = [before, after].map((all) => all.rows.find((row) => row.number === number));
    assert.ok(text.includes(`${from.rank} → ${to.rank}`), `${number}: ${text}`);
    assert.ok(from.total === to.total || text.includes(`${written(from.total)} → ${written(to.total)}`), `${number}: ${text}`);
  }
  const teams = await page.locator('#preview [id^="team-moves-"] .item-title').allInnerTexts();
  assert.deepEqual(teams.sort(), moved(before.teams, "teams").sort());
  const gain = before.rows.filter((row, i) => row.points.get(4) < after.rows[i].points.get(4)).length;
  assert.match(await textOf(page, "#preview"), new RegExp(`${gain} cards gain 0 cards lose`));
  assert.ok(gain > 0 && shown.length > 0, "the ruling moves somebody");

  await tap(page, "ruling.make");
  assert.equal(await page.evaluate(() => document.activeElement.id), "f-why", "a ruling says why");
  await page.fill("#f-why", "The bone was hidden by the skin on this table.");
  await tap(page, "ruling.make");
  await page.locator("#ruling-stands").waitFor();
  await phone.saved();
  await see(phone, "full-ruled");
}

/** The names of the classes, in order. */
async function classNames(page, contest) {
  await visit(page, contest, "contest");
  return (await page.locator('#classes section h3').allInnerTexts()).map((title) => title.replace(/^\d+ · /, ""));
}

/** Every record and every begun card on the disk, as one text. */
async function records(page) {
  const all = Object.entries(await kept(page)).filter(([key]) => /^(record|draft)\//.test(key));
  assert.ok(all.length > PEOPLE.length * CLASSES.length);
  return JSON.stringify(all);
}

/** The cards were made so that each tie-break has something to part. */
function partedAsMeant({ rows, teams }) {
  const of = (number) => rows.find((row) => row.number === number);
  const team = (name) => teams.find((one) => one.name === name);
  assert.equal(of(21).rank, of(22).rank, "nothing parts them");
  assert.equal(of(31).total, of(32).total);
  assert.ok(of(32).rank < of(31).rank, "by reasons");
  const [last, other] = [team("Nettle Cove"), team("Maple Fork")];
  assert.equal(last.total, other.total);
  assert.equal(last.rank + 1, other.rank, "by the alternate");
}

/** Reads a table of a spreadsheet. */
function readTable(bytes) {
  const text = bytes.toString("utf8");
  assert.ok(text.endsWith("\r\n"));
  return text
    .slice(0, -2)
    .split("\r\n")
    .map((line) => [...line.matchAll(/("(?:[^"]|"")*"|[^,]*)(?:,|$)/g)].slice(0, -1).map(([, cell]) => cell.replace(/^"|"$/g, "").replaceAll('""', '"')));
}

/** Holds the table, the text, and the link on another phone against the sums. */
async function compareShared(phone, reader, contest, want, names) {
  const { page } = phone;
  await visit(page, contest, "share");
  await tap(page, "share.most:10");
  const byRank = [...want.rows].sort((a, b) => a.rank - b.rank);

  const { text } = await shared(page, "share.text");
  const line = (row, place, points, who) => `${place}. ${who}: ${written(points)}`;
  for (const row of byRank.filter((r) => r.rank <= 10)) {
    const place = want.rows.filter((r) => r.rank === row.rank).length > 1 ? `${row.rank}=` : String(row.rank);
    assert.ok(text.includes(`\n${line(row, place, row.total, [row.number, row.team].filter(Boolean).join(", "))}\n`), text);
  }
  const teams = text.slice(text.indexOf("\nTeams:"), text.indexOf("Live birds")).trim().split("\n").slice(1);
  assert.deepEqual(teams, [...want.teams].sort((a, b) => a.rank - b.rank).map((team) => {
    const equal = want.teams.filter((other) => other.rank === team.rank).length > 1;
    return line(team, `${team.rank}${equal ? "=" : ""}`, team.total, team.name);
  }));
  assert.match(text, /Rulings:\nBroiler carcasses, item 3: B is right as well\n/);

  const { bytes } = await phone.download(() => doing(page, "share.csv:plain").click());
  const [head, ...table] = readTable(bytes);
  assert.deepEqual(head, ["Place", "Number", "Team", "Age group", "Place in age group", ...names, ...want.divisions.flatMap((d) => [`${d}: points`, `${d}: place`]), "Taken off", "Total", "Remarks", "Rulings"]);
  assert.deepEqual(
    table.map((cells) => cells.slice(0, -2)),
    byRank.map((row) => [row.rank, row.number, row.team, row.group, row.groupRank, ...[...row.points.values()].map(written), ...want.divisions.flatMap((d) => [written(row[d].points), row[d].place]), written(row.penalty), written(row.total)].map(String)),
  );

  const link = (await shared(page, "share.link")).text.split("\n").at(-1);
  await reader.page.goto(link);
  await reader.ready();
  await reader.page.locator("#linked").waitFor();
  const rows = await reader.page.locator("#linked-table tbody tr").evaluateAll((all) => all.map((row) => [...row.cells].map((cell) => cell.textContent.trim())));
  assert.deepEqual(
    rows,
    byRank.map((row) => [row.rank, row.number, written(row.total), row.team, row.group, ...[...row.points.values()].map(written), written(row.penalty)].map(String)),
  );
  await see(reader, "full-linked");
}

/** Prints a slip for everyone, each on paper of its own. */
async function printSlips(phone, contest, want) {
  const { page } = phone;
  await visit(page, contest, "results");
  await tap(page, address(contest, "slips"));
  await page.locator("#slips .slip").first().waitFor();
  assert.equal(await page.locator("#slips .slip").count(), PEOPLE.length);
  for (const row of want.rows) {
    const slip = await textOf(page, `#slip-${row.number}`);
    assert.ok(slip.startsWith(`${written(row.total)} `) && slip.includes(` ${row.rank} `), slip);
    const hens = await textOf(page, `#slip-${row.number}-1`);
    const lost = [...hens.matchAll(/lost (\d+)/g)].reduce((total, [, points]) => total + Number(points) * 100, 0);
    assert.equal(lost, 10_000 - row.points.get(1), hens);
  }
  await page.evaluate(() => (window.print = () => (window.printed = true)));
  await tap(page, "print");
  assert.ok(await page.evaluate(() => window.printed));
  const paper = (await page.pdf({ format: "Letter" })).toString("latin1");
  const sheets = paper.match(/\/Type\s*\/Page\b/g).length;
  assert.ok(sheets >= PEOPLE.length && sheets <= 3 * PEOPLE.length, `${sheets} sheets for ${PEOPLE.length} slips of twelve classes`);
}

// What is wrong with pages as they are met on the way.
const faults = [];

/** Looks at the page in every light. */
async function see(phone, name) {
  faults.push(...(await look(phone, name)));
}

test("a full contest goes from its type to its results on one phone", () =>
  withPhone({ seconds: 400 }, async ({ server, phone, more }) => {
    const page = await phone.start();
    const reader = await more();
    await reader.start();
    for (const one of [phone, reader]) {
      await one.stored();
    }
    await stubShare(phone);
    await server.stop();
    await phone.reload(); // from what is stored, with nobody to ask

    const contest = await begin(phone);
    await pastePeople(phone, contest);
    await back(page);
    await keyAll(phone, contest);
    const type = await keyboardOf(phone);
    for (const c of CLASSES) {
      await keyCards(phone, contest, c, type);
    }
    await visit(page, contest, "contest");
    assert.match(await textOf(page, "#next"), /Every card is keyed and nothing is in question/);

    await takeOff(phone, contest);
    const before = scored(CLASSES);
    partedAsMeant(before);
    await compareResults(phone, contest, before);
    await see(phone, "full-teams");

    byNo(4).key = byNo(4).key.with(2, ["C", "B"]);
    const after = scored(CLASSES);
    await rule(phone, contest, before, after);
    await compareResults(phone, contest, after);
    await visit(page, contest, "results", "awards");
    await see(phone, "full-awards");
    await compareShared(phone, reader, contest, after, await classNames(page, contest));
    await printSlips(phone, contest, after);

    await phone.saved();
    const there = await records(page);
    await phone.restart();
    await phone.start(`#/c/${contest}/results`);
    assert.ok(there === (await records(phone.page)), "every record outlives the browser");
    await compareResults(phone, contest, after);
    assert.deepEqual(faults, []);
  }));
