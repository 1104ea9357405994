// What the other ways of keeping a contest share: the keyings they keep, and
// what has to be true of a contest once all phones are taken in.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";

export const PHONES = 8;

/** The keyings of a day, as the benchmark of the engine wrote them. */
export function keyings(file) {
  const lines = readFileSync(file, "utf8").trim().split("\n");
  return lines.map((line) => {
    const [phone, cls, number, answers, who, at] = line.split("\t");
    return { phone: Number(phone), cls: Number(cls), number: Number(number), answers, who, at: Number(at) };
  });
}

const ITEMS = 10;

/** Ten answers of one to four in one number, two bits each, and back. */
export const packed = (answers) => [...answers].reduce((all, one) => all * 4 + Number(one) - 1, 0);
export const unpacked = (number) => Array.from({ length: ITEMS }, (_, i) => ((number >> (2 * (ITEMS - 1 - i))) & 3) + 1).join("");

/** What each phone says last about each card: card → phone → answers. */
export function told(rows) {
  const cards = new Map();
  for (const { phone, cls, number, answers } of rows) {
    const card = `${cls}/${number}`;
    if (!cards.has(card)) {
      cards.set(card, new Map());
    }
    cards.get(card).set(phone, answers);
  }
  return cards;
}

/** The cards of which two phones say different things, in order. */
export function inQuestion(cards) {
  const found = [];
  for (const [card, sides] of cards) {
    if (new Set(sides.values()).size > 1) {
      found.push(card);
    }
  }
  return found.sort();
}

/** Fails unless a contest answers for every card with what a phone said of it. */
export function holds(rows, answersOf) {
  for (const [card, sides] of told(rows)) {
    const kept = answersOf(...card.split("/"));
    assert.ok([...sides.values()].includes(kept), `card ${card} holds ${kept}, told was ${[...sides.values()]}`);
  }
}
