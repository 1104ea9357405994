// The contest in Yjs, in two ways. It reads and merges in one; nothing is
// signed or chained, and no time is kept unless it is written into a value.
import assert from "node:assert/strict";
import { deflateRawSync } from "node:zlib";
import * as yjs from "yjs";
import { PHONES, holds, inQuestion, packed, told, unpacked } from "./contest.js";

const KNUTH = 2654435761;

function way(put, read) {
  return {
    /** What each phone hands over. */
    files: (rows) =>
      Array.from({ length: PHONES }, (_, phone) => {
        const contest = new yjs.Doc();
        contest.clientID = ((phone + 1) * KNUTH) % 2 ** 32; // as the library draws one, but the same in every run
        for (const row of rows.filter((of) => of.phone === phone)) {
          contest.transact(() => put(contest, row));
        }
        return yjs.encodeStateAsUpdateV2(contest);
      }),
    takeIn(files) {
      const contest = new yjs.Doc();
      for (const file of files) {
        yjs.applyUpdateV2(contest, file);
      }
      return { contest, cards: read(contest) };
    },
    /** The form that it reads fastest. */
    whole: ({ contest }) => yjs.encodeStateAsUpdateV2(contest),
    /** The smaller of its two forms, deflated, as it leaves that to others. */
    bytes: ({ contest }) =>
      Math.min(...[yjs.encodeStateAsUpdate(contest), yjs.encodeStateAsUpdateV2(contest)].map((form) => deflateRawSync(form, { level: 9 }).length)),
  };
}

export default {
  // Answers alone: of two phones one wins and nobody is told.
  number: {
    ...way(
      (contest, { cls, number, answers }) => contest.getMap(`${cls}`).set(`${number}`, packed(answers)),
      () => null,
    ),
    check(rows, { contest }) {
      holds(rows, (cls, number) => unpacked(contest.getMap(cls).get(number)));
    },
  },
  // A list of keyings with time and who; what holds of a card, and what is in
  // question, is worked out by hand.
  list: {
    ...way(
      (contest, { phone, cls, number, answers, who, at }) => contest.getArray("keyings").push([[phone, cls, number, packed(answers), who, at]]),
      (contest) => {
        const rows = contest.getArray("keyings").map(([phone, cls, number, answers]) => ({ phone, cls, number, answers }));
        const cards = told(rows);
        return { cards, questions: inQuestion(cards) };
      },
    ),
    check(rows, { cards: { cards, questions } }) {
      holds(rows, (cls, number) => unpacked([...cards.get(`${cls}/${number}`).values()].at(-1)));
      assert.deepEqual(questions, inQuestion(told(rows)));
    },
  },
};
