import assert from "node:assert/strict";
import { test } from "node:test";

import { dayName, isNumber, isWeekend, markText, monthMarks, monthName, weekdayName } from "../../../journal/pages/browser/month_marks.js";

const WALK = { key: "walk", name: "Walk", kind: "plain" };
const READ = { key: "read", name: "Read", kind: "counted", target: 20, unit: "pages" };
const DAY = "2025-03-14";

const anOffer = () => ({
  base: "b", month: "2025-03", days: [DAY, "2025-03-15"], habits: [WALK, READ],
  marks: { walk: { [DAY]: true }, read: { [DAY]: 12 } },
  due: { walk: { [DAY]: true, "2025-03-15": false }, read: { [DAY]: null } },
});

test("marks are those of the files until one is set", () => {
  const marks = monthMarks(anOffer());
  assert.deepEqual([marks.markOf(WALK, DAY), marks.markOf(WALK, "2025-03-15"), marks.markOf({ key: "new" }, DAY)], [true, null, null]);
  assert.equal(marks.put(WALK, DAY, "rest"), true);
  assert.deepEqual([marks.markOf(WALK, DAY), marks.isNew(WALK, DAY), marks.isNew(WALK, "2025-03-15"), marks.count()], ["rest", true, false, 1]);
});

test("a mark taken back is a change where the files have one", () => {
  const marks = monthMarks(anOffer());
  marks.put(WALK, DAY, null);
  assert.deepEqual([marks.markOf(WALK, DAY), marks.count()], [null, 1]);
});

test("a mark set back to that of the files is no change", () => {
  const marks = monthMarks(anOffer());
  marks.put(WALK, DAY, false);
  marks.put(WALK, DAY, true);
  assert.deepEqual([marks.count(), marks.isNew(WALK, DAY), marks.entered().marks], [0, false, {}]);
});

test("no mark can be set on a day on which a habit is not in force", () => {
  const marks = monthMarks(anOffer());
  assert.equal(marks.holds(READ, DAY), false);
  assert.equal(marks.put(READ, DAY, 5), false);
  assert.equal(marks.count(), 0);
  assert.deepEqual([marks.holds(WALK, "2025-03-15"), marks.isDue(WALK, "2025-03-15"), marks.isDue(WALK, DAY)], [true, false, true]);
});

test("clicks cycle through done, not done, rest and nothing", () => {
  const marks = monthMarks(anOffer());
  const seen = [];
  for (let times = 0; times < 4; times += 1) {
    const mark = marks.following(WALK, "2025-03-15");
    marks.put(WALK, "2025-03-15", mark);
    seen.push(mark);
  }
  assert.deepEqual(seen, [true, false, "rest", null]);
});

test("clicks on a count cycle through target, zero, rest and nothing; other counts continue with rest", () => {
  const marks = monthMarks({ ...anOffer(), due: {} });
  const seen = [];
  for (let times = 0; times < 5; times += 1) {
    const mark = marks.following(READ, DAY);
    marks.put(READ, DAY, mark);
    seen.push(mark);
  }
  assert.deepEqual(seen, ["rest", null, 20, 0, "rest"]);
  assert.equal(marks.following({ ...READ, target: null }, "2025-03-15"), 1);
});

test("a tick has no rest, and one of a later day goes to nothing", () => {
  const letters = { key: "challenges/letters", name: "Letters", kind: "tick" };
  const marks = monthMarks({ ...anOffer(), due: {} });
  const seen = [];
  for (let times = 0; times < 3; times += 1) {
    marks.put(letters, DAY, marks.following(letters, DAY));
    seen.push(marks.markOf(letters, DAY));
  }
  assert.deepEqual(seen, [true, false, null]);
  marks.put(letters, DAY, "2025-03-16");
  assert.deepEqual([marks.following(letters, DAY), markText(letters, "2025-03-16", true)], [null, "done on 16 March"]);
  assert.deepEqual([READ, WALK, { kind: "scale" }].map(isNumber), [true, false, true]);
});

test("only changed days are sent, with the base of the month", () => {
  const marks = monthMarks(anOffer());
  marks.put(WALK, "2025-03-15", "rest");
  assert.deepEqual(marks.entered(), { base: "b", month: "2025-03", marks: { walk: { "2025-03-15": "rest" } } });
});

test("marks entered before are kept", () => {
  const changed = { walk: { [DAY]: false } };
  const marks = monthMarks(anOffer(), changed);
  assert.deepEqual([marks.markOf(WALK, DAY), marks.count()], [false, 1]);
  marks.put(WALK, "2025-03-15", true);
  assert.deepEqual(changed, { walk: { [DAY]: false, "2025-03-15": true } });
});

test("marks in words", () => {
  const words = (mark, due = true) => markText(READ, mark, due);
  assert.deepEqual([words(true), words(false), words("rest"), words(12), words(0), words(null), words(null, false)], ["done", "not done", "rest", "12 pages", "0 pages", "nothing yet", "not due"]);
  assert.equal(markText(WALK, 3, true), "3");
});

test("days and months in words", () => {
  assert.deepEqual([dayName("2025-03-04"), dayName("2025-12-31"), monthName("2025-01"), monthName("2024-12")], ["4 March", "31 December", "January 2025", "December 2024"]);
});

test("a day's weekday", () => {
  assert.deepEqual(["2025-03-13", "2025-03-16"].map(weekdayName), ["Thursday", "Sunday"]);
});

test("Saturdays and Sundays are the weekend", () => {
  const days = ["2025-03-14", "2025-03-15", "2025-03-16", "2025-03-17"];
  assert.deepEqual(days.map(isWeekend), [false, true, true, false]);
});
