// A sealed contest on phones that never meet a server again: an official and a
// keyer are invited, no answer lies open on the keyer's phone until it is
// released, the owner's phone is lost, and its words on paper bring the contest
// back to another one.
import assert from "node:assert/strict";
import { test } from "node:test";
import { withPhone } from "./helpers.js";
import { contestOf, doing, drawn, kept, look, offer, tap, textOf, visit } from "./journey.js";

const KEY = ["B", "A", "C"];
const GRADES = ["A", "B", "C", "NG"];

/** Begins a sealed contest, as the page proposes it, with one class of three carcasses. */
async function begin({ page, saved }) {
  await visit(page, "", "new");
  await page.fill("#f-name", "Quarry Road Poultry Day");
  await page.fill("#f-initials", "AB");
  await page.click("#new-start");
  await page.locator("#overview").waitFor();
  const contest = contestOf(page);
  await visit(page, contest, "class", "new");
  await tap(page, "class.add:carcass-youth");
  await page.fill("#f-items", "3");
  await page.press("#f-items", "Tab");
  await visit(page, contest, "people", "paste");
  await page.fill("#f-paste", "101\n102");
  await tap(page, "people.take");
  await page.locator("#list").waitFor();
  return contest;
}

/** An invitation to a role, as the file that is sent. */
async function invitation(owner, contest, role) {
  await visit(owner.page, contest, "invite");
  await tap(owner.page, `invite.role:${role}`);
  assert.deepEqual(await look(owner, `invite-${role}`), []);
  const file = await owner.download(() => doing(owner.page, "invite.save").click());
  await owner.saved();
  return file;
}

/** Takes a file in; gives what was said of it before, and after. */
async function takeIn(phone, file) {
  await offer(phone, file);
  const before = await textOf(phone.page, "#taking");
  await tap(phone.page, "take-in.accept");
  await phone.page.locator("#overview").waitFor();
  await phone.saved();
  return { before, after: await textOf(phone.page, "body") };
}

async function pass(from, to, contest) {
  await visit(from.page, contest, "hand-over");
  await tap(from.page, "hand-over.to:everything");
  const file = await from.download(() => doing(from.page, "hand-over.save").click());
  await from.saved();
  return takeIn(to, file);
}

async function join(phone, file, initials) {
  const { before } = await takeIn(phone, file);
  await phone.page.fill("#f-initials", initials);
  await phone.page.press("#f-initials", "Tab");
  await drawn(phone.page);
  await phone.saved();
  return before;
}

/** What a phone keeps in which an answer could be read. */
async function open(page) {
  return Object.entries(await kept(page)).filter(([, value]) => String.fromCharCode(...value.split(",").map(Number)).includes('"answer"'));
}

test("official answers are sealed until they are released, and words on paper restore the owner", { timeout: 300_000 }, () =>
  withPhone({}, async ({ server, phone: owner, more }) => {
    const [official, keyer, next] = [await more(), await more(), await more()];
    const all = [owner, official, keyer, next];
    for (const phone of all) {
      await phone.start();
      await phone.stored();
    }
    await server.stop();
    for (const phone of all) {
      await phone.reload();
    }

    const contest = await begin(owner);
    assert.match(await join(official, await invitation(owner, contest, "official"), "JK"), /Quarry Road Poultry Day/);
    const asKeyer = await invitation(owner, contest, "keyer");
    await offer(keyer, asKeyer);
    assert.deepEqual(await look(keyer, "take-in-invitation"), []);
    await join(keyer, asKeyer, "MB");

    // The official sets the key at once; the owner hears of it and of the phone.
    await visit(official.page, contest, "key", "1");
    for (const [i, answer] of KEY.entries()) {
      await tap(official.page, `key.item:${i + 1}`, `key.answer:${answer}`);
    }
    await official.saved();
    assert.deepEqual(await open(official.page), [], "answers lie sealed in the official's store");
    const heard = await pass(official, owner, contest);
    assert.match(heard.after, /JK: Official from now on/);
    await visit(owner.page, contest, "key", "1");
    assert.deepEqual(await owner.page.locator("#at-tiles .tile-answer").allInnerTexts(), KEY);

    // The keyer keys, and reads no answer: neither on a page nor in the store.
    await pass(owner, keyer, contest);
    await visit(keyer.page, contest, "keying", "1", "101");
    for (const answer of KEY) {
      await tap(keyer.page, `keying.mark:${GRADES.indexOf(answer) + 1}`);
    }
    await keyer.saved();
    assert.deepEqual(await open(keyer.page), []);
    for (const name of ["key", "results"]) {
      await visit(keyer.page, contest, "contest");
      await keyer.page.evaluate((hash) => {
        location.hash = hash;
      }, `#/c/${contest}/${name}${name === "key" ? "/1" : ""}`);
      await drawn(keyer.page);
      assert.equal(await keyer.page.locator("#at-tiles, #ranking").count(), 0, `${name} is not for a keyer`);
    }
    await pass(keyer, owner, contest);

    // Released, in two taps, since it cannot be taken back.
    await visit(owner.page, contest, "phones");
    assert.deepEqual(await look(owner, "phones-sealed"), []);
    await owner.page.click("#release-sealed summary");
    await tap(owner.page, "phones.release");
    await pass(owner, keyer, contest);
    await visit(keyer.page, contest, "results");
    assert.match(await textOf(keyer.page, "#ranking"), /101/);

    // The words go on paper. The owner's phone falls into a bucket.
    await visit(owner.page, "", "recovery");
    await tap(owner.page, "recovery.show");
    assert.deepEqual(await look(owner, "recovery-words"), []);
    const words = await owner.page.locator("#the-words li").allInnerTexts();
    assert.equal(words.length, 13);
    await tap(owner.page, "recovery.check");
    await owner.page.fill("#f-recovery", words.join(" ").toUpperCase());
    await tap(owner.page, "recovery.take");
    await owner.saved();
    assert.match(await textOf(owner.page, "body"), /The words are right/);

    // Another phone has the paper, and the contest from the keyer's phone.
    await visit(next.page, "", "recovery");
    await next.page.fill("#f-recovery", words.map((w) => w.match(/[a-z]+/)[0].slice(0, 4)).join("\n"));
    await tap(next.page, "recovery.take");
    await next.saved();
    assert.match(await textOf(next.page, "body"), /has the owner's authority/);
    await next.page.evaluate(() => {
      location.hash = "#/phone";
    });
    await next.page.fill("#f-initials", "AB");
    await next.page.press("#f-initials", "Tab");
    await next.saved();
    await pass(keyer, next, contest);
    await visit(next.page, contest, "phones");
    assert.match(await textOf(next.page, "#phones-page"), /Owner/);
    const lost = `phones.shut:${await owner.page.evaluate(() => document.body.innerText.match(/[0-9a-f]{4}(?:-[0-9a-f]{4}){3}/)?.[0])}`;
    assert.equal(await doing(next.page, lost).count(), 1, "the lost phone can be shut out");
    for (const phone of all) {
      await phone.restart();
      await phone.start(`#/c/${contest}`);
      await phone.page.locator("#overview").waitFor();
    }
  }));
