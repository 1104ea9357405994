// The contest in Automerge, in two ways. Both make a change for every keying,
// with the time and who keyed it, so history is kept; two phones that answer
// differently are a conflict. Changes are chained by hashes; nothing is signed.
import assert from "node:assert/strict";
import * as automerge from "@automerge/automerge";
import { PHONES, holds, inQuestion, packed, told, unpacked } from "./contest.js";

/** An id as the library draws one, but the same in every run. */
const actor = (phone) => [1, 2, 3, 4].map((part) => (Math.imul(phone * 4 + part, 0x9e3779b1) >>> 0).toString(16).padStart(8, "0")).join("");

const OWNER = PHONES;

function way(put, cardOf) {
  return {
    /** What each phone hands over. */
    files(rows) {
      const classes = Object.fromEntries(rows.map(({ cls }) => [cls, {}]));
      const begun = automerge.from({ cards: classes }, { actor: actor(OWNER) });
      return Array.from({ length: PHONES }, (_, phone) => {
        let contest = automerge.clone(begun, { actor: actor(phone) });
        for (const row of rows.filter((of) => of.phone === phone)) {
          contest = automerge.change(contest, { message: row.who, time: row.at }, (to) => put(to.cards[row.cls], row));
        }
        return automerge.save(contest);
      });
    },
    open: (files) => files.map((file) => automerge.load(file)),
    merge: ([first, ...others]) => others.reduce((all, other) => automerge.merge(all, other), first),
    /** The quickest way from files to a merged contest. */
    takeIn: ([first, ...others]) => others.reduce((all, file) => automerge.loadIncremental(all, file), automerge.load(first)),
    whole: (contest) => automerge.save(contest),
    check(rows, contest) {
      holds(rows, (cls, number) => cardOf(contest.cards[cls], number).answers);
      const conflicting = [...told(rows).keys()].filter((card) => {
        const [cls, number] = card.split("/");
        return cardOf(contest.cards[cls], number).conflict;
      });
      assert.deepEqual(conflicting.sort(), inQuestion(told(rows)));
    },
  };
}

const differ = (conflicts) => new Set(Object.values(conflicts ?? {}).map(String)).size > 1;

export default {
  // The smallest that was found: a card is one number in the map of its class.
  number: way(
    (cards, { number, answers }) => (cards[number] = packed(answers)),
    (cards, number) => ({ answers: unpacked(cards[number]), conflict: differ(automerge.getConflicts(cards, number)) }),
  ),
  // As one writes it at first: a card is a map of its answers. A keying changes
  // only what differs from what the phone has, as the library advises.
  fields: way(
    (cards, { number, answers }) => {
      cards[number] ??= {};
      [...answers].forEach((one, item) => {
        if (cards[number][item] !== Number(one)) {
          cards[number][item] = Number(one);
        }
      });
    },
    (cards, number) => ({
      answers: Object.values(cards[number]).join(""),
      conflict: differ(
        Object.fromEntries(
          Object.entries(automerge.getConflicts(cards, number) ?? {}).map(([id, card]) => [id, Object.values(card).join("")]),
        ),
      ),
    }),
  ),
};
