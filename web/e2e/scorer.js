// A contest scored anew, from nothing but its cards and keys: plain sums by the
// published rules, as somebody would do them with a pencil. It shares no code
// with the app, which is held against it. All points are hundredths.

const PERFECT = 50;

/**
 * Points of a placing: 50 less, for each pair turned round, the cuts that lie
 * between the two; a class worth 100 counts double (University of
 * Nebraska-Lincoln, NebGuide G2092; Penn State Extension, every class 100).
 */
export function placed(key, order) {
  let points = PERFECT;
  for (let i = 0; i < 4; i++) {
    for (let j = i + 1; j < 4; j++) {
      if (order.indexOf(key.order[i]) > order.indexOf(key.order[j])) {
        points -= key.cuts.slice(i, j).reduce((a, b) => a + b, 0);
      }
    }
  }
  return points * 200;
}

/**
 * Points of a graded card of four answers, worth 100: an item earns its share
 * less three tenths for each line crossed between the first three answers and
 * four tenths for the last (Penn State Extension, state poultry judging rules,
 * for A, B, C and no grade; other scales of four alike). What is right as well
 * is as good as the key, and an item thrown out earns its share.
 */
export function graded(answers, key, card) {
  const at = [0, 3, 6, 10];
  const share = 10_000 / key.length;
  return sum(card, (mark, i) => {
    if (key[i] === OUT) {
      return share;
    }
    const lost = [key[i]].flat().map((right) => Math.abs(at[answers.indexOf(mark)] - at[answers.indexOf(right)]));
    return (share * (10 - Math.min(...lost))) / 10;
  });
}

/** An item that was thrown out. */
export const OUT = "out";

/**
 * Points of named items: ten for each right one of ten (Penn State Extension,
 * parts identification).
 */
export function named(key, card) {
  return sum(card, (name, i) => (key[i] === OUT || [key[i]].flat().includes(name) ? 10_000 / key.length : 0));
}

/**
 * Points of a card of faults: every fault of every item, told rightly as there
 * or not, earns the same (Penn State Extension, further-processed products: two
 * for each of five factors of ten products).
 */
export function checked(faults, key, card) {
  const share = 10_000 / (key.length * faults);
  return sum(card, (found, i) => {
    let right = 0;
    for (let fault = 1; fault <= faults; fault++) {
      right += key[i].includes(fault) === found.includes(fault) ? 1 : 0;
    }
    return right * share;
  });
}

const sum = (list, of) => list.reduce((total, one, i) => total + of(one, i), 0);

/**
 * Scores a contest: { classes: [{ no, division, points(number) }], people:
 * [{ number, group, team, penalty }], ties: class numbers in order, best: how
 * many of a team count }. The alternate, who is the best of those who do not
 * count, parts teams at the very end (University of Tennessee Extension).
 * Places that nothing parts are shared.
 */
export function score({ classes, people, ties, best }) {
  const rows = people.map((person) => {
    const points = new Map(classes.map((c) => [c.no, c.points(person.number)]));
    const total = Math.max(0, sum([...points.values()], (p) => p) - (person.penalty ?? 0));
    return { ...person, points, total, keys: [total, ...ties.map((no) => points.get(no))] };
  });
  rank(rows, "rank", (row) => row.keys);
  for (const group of new Set(rows.map((row) => row.group))) {
    const within = rows.filter((row) => row.group === group);
    rank(within, "groupRank", (row) => row.keys);
  }
  const divisions = [...new Set(classes.map((c) => c.division))];
  for (const division of divisions) {
    for (const row of rows) {
      row[division] = { points: sum(classes.filter((c) => c.division === division), (c) => row.points.get(c.no)) };
    }
    rank(rows, "place", (row) => [row[division].points], (row) => row[division]);
  }
  return { rows, divisions, teams: teams(rows, best) };
}

function teams(rows, best) {
  const out = [];
  for (const name of new Set(rows.map((row) => row.team).filter(Boolean))) {
    const members = rows.filter((row) => row.team === name).sort(before((row) => row.keys));
    if (members.length >= best) {
      const counting = members.slice(0, best);
      const keys = members[0].keys.map((_, i) => sum(counting, (row) => row.keys[i]));
      out.push({ name, counting, total: keys[0], alternate: members[best]?.total, keys });
    }
  }
  // The alternate speaks only where each of the teams that are equal so far has one.
  for (const team of out) {
    const equal = out.filter((other) => String(other.keys) === String(team.keys));
    team.last = equal.every((other) => other.alternate !== undefined) ? team.alternate : 0;
  }
  for (const team of out) {
    team.keys = [...team.keys, team.last];
  }
  rank(out, "rank", (team) => team.keys);
  return out;
}

const before = (keys) => (a, b) => {
  const [x, y] = [keys(a), keys(b)];
  const at = x.findIndex((key, i) => key !== y[i]);
  return at < 0 ? 0 : y[at] - x[at];
};

/** Gives everyone one more than the number of those before them. */
function rank(list, name, keys, on = (one) => one) {
  const ahead = before(keys);
  for (const one of list) {
    on(one)[name] = 1 + list.filter((other) => ahead(other, one) < 0).length;
  }
}

/** Hundredths as people write points. */
export function written(hundredths) {
  return String(hundredths / 100);
}
