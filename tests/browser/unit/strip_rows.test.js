import assert from "node:assert/strict";
import { test } from "node:test";

import { minuteAt, narrowAt, pieces, placeOfEdge, rowCount } from "../../../journal/pages/browser/strip_rows.js";
import { DAY } from "../../../journal/pages/browser/times.js";

const ONE = [{ left: 100, width: 480, top: 0, bottom: 48 }];
const FOUR = [0, 1, 2, 3].map((row) => ({ left: 10, width: 360, top: row * 70, bottom: row * 70 + 48 }));

test("a quarter of an hour is 5 px wide for a mouse and 10 for a thumb, with at most four rows", () => {
  for (const [width, isCoarse, rows] of [[498, false, 1], [480, false, 1], [479, false, 2], [326, false, 2], [100, false, 4], [960, true, 1], [678, true, 2], [326, true, 4]]) {
    assert.equal(rowCount(width, isCoarse), rows, `${width} ${isCoarse}`);
  }
});

test("a point of a row is a minute of the day, and beside it the nearest", () => {
  for (const [x, minute] of [[100, 0], [340, 720], [580, DAY], [99, 0], [900, DAY], [120, 60]]) assert.deepEqual(minuteAt({ x, y: 20 }, ONE), { row: 0, minute });
  for (const [x, y, row, minute] of [[10, 20, 0, 0], [370, 20, 0, 360], [10, 90, 1, 360], [190, 160, 2, 900], [370, 240, 3, DAY]]) {
    assert.deepEqual(minuteAt({ x, y }, FOUR), { row, minute });
  }
});

test("between two rows the row stays", () => {
  assert.deepEqual(minuteAt({ x: 190, y: 60 }, FOUR, 0), { row: 0, minute: 180 });
  assert.deepEqual(minuteAt({ x: 190, y: 60 }, FOUR, 1), { row: 1, minute: 540 });
  assert.deepEqual(minuteAt({ x: 190, y: 900 }, FOUR, 2), { row: 2, minute: 900 });
  assert.equal(minuteAt({ x: 190, y: -9 }, FOUR).row, 0);
  assert.equal(minuteAt({ x: 190, y: 900 }, FOUR).row, 3);
});

test("a span has a piece in each of its rows", () => {
  assert.deepEqual(pieces({ from: 360, to: 720 }, 1), [{ row: 0, from: 360, to: 720, left: 0.25, width: 0.25 }]);
  assert.deepEqual(pieces({ from: 300, to: 750 }, 4).map(({ row, from, to }) => [row, from, to]), [[0, 300, 360], [1, 360, 720], [2, 720, 750]]);
  assert.deepEqual(pieces({ from: 0, to: DAY }, 4).map(({ left, width }) => [left, width]), Array(4).fill([0, 1]));
  assert.deepEqual(pieces({ from: 360, to: 360 }, 4), []);
});

test("an end at the end of a row stays in it, a start goes to the next", () => {
  assert.deepEqual(placeOfEdge(360, "end", 4), { row: 0, left: 1 });
  assert.deepEqual(placeOfEdge(360, "start", 4), { row: 1, left: 0 });
  assert.deepEqual(placeOfEdge(0, "start", 4), { row: 0, left: 0 });
  assert.deepEqual(placeOfEdge(DAY, "end", 4), { row: 3, left: 1 });
  assert.deepEqual(placeOfEdge(DAY, "start", 1), { row: 0, left: 1 });
});

test("a press beside a narrow block is for it, within 12 px of its middle", () => {
  const narrow = { left: 100, width: 5 };
  const wide = { left: 105, width: 80 };
  for (const [x, found] of [[90, null], [91, narrow], [102, narrow], [114, narrow], [115, null], [150, null]]) assert.equal(narrowAt([narrow, wide], x), found, String(x));
});

test("of two narrow blocks the nearer is meant, and a block of 24 px keeps its own", () => {
  const [one, other, least] = [{ left: 100, width: 10 }, { left: 112, width: 10 }, { left: 122, width: 24 }];
  for (const [x, found] of [[96, one], [110, one], [112, other], [121, other], [123, null]]) assert.equal(narrowAt([one, other, least], x), found, String(x));
});
