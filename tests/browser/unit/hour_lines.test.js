import assert from "node:assert/strict";
import { test } from "node:test";

import { formatLine, hoursOfLines, linesOfBlocks, linesOfHours, night, overlaps, parseBlocks, parseLine } from "../../../journal/pages/browser/hour_lines.js";
import { DAY } from "../../../journal/pages/browser/times.js";
import { CATEGORIES } from "./offers.js";

const read = (text) => parseLine(text, CATEGORIES);

test("a line names a category by its name or its key, in any case", () => {
  for (const text of ["Sleep 22:30-24:00", "sleep 22:30-24:00", "SLEEP: 22:30-24:00", "  Sleep, 22:30-24:00 ", "Sleep 22:30 – 24:00"]) {
    assert.deepEqual(read(text), { category: "sleep", from: 1350, to: DAY }, text);
  }
});

test("a name may hold digits, and its key is shorter", () => {
  assert.deepEqual(read("Away 2 9-10"), { category: "away", from: 540, to: 600 });
  assert.deepEqual(read("away 9-10"), { category: "away", from: 540, to: 600 });
});

test("the longest matching name wins", () => {
  const categories = [{ key: "a", name: "Work" }, { key: "b", name: "Work at home" }];
  assert.equal(parseLine("work at home 9-10", categories).category, "b");
  assert.equal(parseLine("work 9-10", categories).category, "a");
});

test("a key that begins with a name is not cut at it", () => {
  const read = (text, categories) => { const { category, from, to } = parseLine(text, categories); return [category, from, to]; };
  const one = [{ key: "workshop", name: "Work" }];
  assert.deepEqual(read("workshop 9-10", one), ["workshop", 540, 600]);
  assert.deepEqual(read("Work 9-10", one), ["workshop", 540, 600]);
  const two = [{ key: "work", name: "Work" }, { key: "workshop", name: "Bench" }];
  assert.deepEqual(read("workshop 9-10", two), ["workshop", 540, 600]);
  assert.deepEqual(read("Workshop: 9-10", two), ["workshop", 540, 600]);
  const three = [{ key: "a", name: "Long walk in the woods" }, { key: "b", name: "Walk" }, { key: "walk 2", name: "Way" }];
  assert.deepEqual(read("walk 2 9-10", three), ["walk 2", 540, 600]);
});

test("an invalid line has an error message", () => {
  assert.equal(read("Swim 9-10").wrong, 'there is no category "swim"; write one of Sleep, Workshop, Away 2');
  assert.equal(read("9-10").wrong, "which category? write one of Sleep, Workshop, Away 2 first");
  assert.match(read("Sleep").wrong, /^expected a start and an end/);
  assert.deepEqual(read("Sleep 22:30-6:00").across, [{ from: 0, to: 360 }, { from: 1350, to: DAY }]);
});

test("a block is written as it is read, by either clock", () => {
  const block = { category: "sleep", from: 0, to: 375 };
  assert.equal(formatLine(block, CATEGORIES, 24), "Sleep 00:00-06:15");
  assert.equal(formatLine(block, CATEGORIES, 12), "Sleep 12:00 am to 6:15 am");
  assert.deepEqual(read(formatLine(block, CATEGORIES, 12)), block);
  assert.equal(formatLine({ ...block, category: "gone" }, CATEGORIES, 24), "gone 00:00-06:15");
});

test("blocks have the index of their line; empty and invalid lines are skipped", () => {
  const blocks = parseBlocks(["", "Sleep 0-6", "Sleep 7ish", "Workshop 9-10"], CATEGORIES);
  assert.deepEqual(blocks, [{ category: "sleep", from: 0, to: 360, place: 1 }, { category: "workshop", from: 540, to: 600, place: 3 }]);
});

test("after an edit, a block at its old times keeps its line as typed, and what is not read stays", () => {
  const lines = ["sleep: 0 - 6.20", "", "Workshop 9-10", "Workshop 7ish"];
  const [sleep, workshop] = parseBlocks(lines, CATEGORIES);
  assert.deepEqual(linesOfBlocks([sleep, { category: "away", from: 400, to: 420 }, { ...workshop, to: 615 }], lines, CATEGORIES, 24), [
    "sleep: 0 - 6.20", "Away 2 06:40-07:00", "Workshop 09:00-10:15", "Workshop 7ish",
  ]);
  assert.deepEqual(linesOfBlocks([{ ...sleep, category: "away" }], lines, CATEGORIES, 12), ["Away 2 12:00 am to 6:20 am", "Workshop 7ish"]);
});

test("hours of the files become lines in the order of the day and back", () => {
  const hours = { workshop: ["13:30-17:00", "09:00-12:30"], sleep: ["22:30-24:00", "00:00-06:15"] };
  const lines = linesOfHours(hours, { categories: CATEGORIES, clock: 24 });
  assert.deepEqual(lines, ["Sleep 00:00-06:15", "Workshop 09:00-12:30", "Workshop 13:30-17:00", "Sleep 22:30-24:00"]);
  assert.deepEqual(hoursOfLines(lines, CATEGORIES), { sleep: ["00:00-06:15", "22:30-24:00"], workshop: ["09:00-12:30", "13:30-17:00"] });
});

test("lines are sorted by start, even if they overlap", () => {
  const lines = linesOfHours({ sleep: ["00:00-12:00"], workshop: ["01:00-02:00"] }, { categories: CATEGORIES, clock: 24 });
  assert.deepEqual(lines, ["Sleep 00:00-12:00", "Workshop 01:00-02:00"]);
});

test("with the 12-hour clock the files keep the 24-hour format", () => {
  const lines = linesOfHours({ sleep: ["22:30-24:00"] }, { categories: CATEGORIES, clock: 12 });
  assert.deepEqual(lines, ["Sleep 10:30 pm to 12:00 am"]);
  assert.deepEqual(hoursOfLines(lines, CATEGORIES), { sleep: ["22:30-24:00"] });
});

test("an invalid range of the files is kept as it is", () => {
  assert.deepEqual(linesOfHours({ sleep: ["7ish"] }, { categories: CATEGORIES, clock: 24 }), ["sleep 7ish"]);
});

test("overlaps are reported per pair, with the shared part", () => {
  const [a, b, c] = [{ from: 0, to: 60 }, { from: 45, to: 120 }, { from: 30, to: 50 }];
  assert.deepEqual(overlaps([a, b, c]), [{ one: a, other: b, from: 45, to: 60 }, { one: a, other: c, from: 30, to: 50 }, { one: b, other: c, from: 45, to: 50 }]);
});

test("blocks that only touch do not overlap", () => {
  assert.deepEqual(overlaps([{ from: 0, to: 60 }, { from: 60, to: 120 }]), []);
  assert.deepEqual(overlaps([]), []);
});

test("a night crosses midnight, from the last sleep of one day to the first of the next", () => {
  const evening = [{ category: "sleep", from: 0, to: 375 }, { category: "sleep", from: 1350, to: DAY }];
  const morning = [{ category: "sleep", from: 0, to: 390 }, { category: "sleep", from: 1380, to: DAY }];
  assert.deepEqual(night(evening, morning, "sleep"), { bed: 1350, rise: 390, minutes: 480 });
});

test("a night needs both halves", () => {
  const half = [{ category: "sleep", from: 1350, to: DAY }];
  assert.equal(night(half, [{ category: "workshop", from: 0, to: 60 }], "sleep"), null);
  assert.equal(night([{ category: "sleep", from: 1350, to: 1439 }], [{ category: "sleep", from: 0, to: 60 }], "sleep"), null);
  assert.equal(night(half, [{ category: "sleep", from: 1, to: 60 }], "sleep"), null);
  assert.equal(night([{ category: "workshop", from: 1350, to: DAY }], [{ category: "sleep", from: 0, to: 60 }], "sleep"), null);
});
