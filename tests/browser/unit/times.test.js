import assert from "node:assert/strict";
import { test } from "node:test";

import { DAY, formatFileRange, formatMinutes, formatRange, formatTime, nextDayName, parseRange, parseTime } from "../../../journal/pages/browser/times.js";

test("a time by the 24-hour clock", () => {
  for (const [minutes, text] of [[0, "00:00"], [375, "06:15"], [720, "12:00"], [1439, "23:59"], [DAY, "24:00"]]) assert.equal(formatTime(minutes), text);
});

test("a time by the 12-hour clock", () => {
  for (const [minutes, text] of [[0, "12:00 am"], [375, "6:15 am"], [719, "11:59 am"], [720, "12:00 pm"], [1350, "10:30 pm"], [DAY, "12:00 am"]]) {
    assert.equal(formatTime(minutes, 12), text);
  }
});

test("accepted times", () => {
  const read = { "6:15": 375, "06.15": 375, 6: 360, " 22:30 ": 1350, "6:15 pm": 1095, "6pm": 1080, "12:00 am": 0, "12 pm": 720, "12:30 a.m.": 30, "1 P.M.": 780, "24:00": DAY, 0: 0 };
  for (const [text, minutes] of Object.entries(read)) assert.deepEqual(parseTime(text), { minutes }, text);
});

test("an invalid time has an error message", () => {
  for (const text of ["7ish", "", "22:3", "123", "6:15 xm", "-1"]) assert.match(parseTime(text).wrong, /is no time; write e\.g\. 22:30$/);
  for (const text of ["24:01", "25:00", "12:60"]) assert.match(parseTime(text).wrong, /^there is no .*; a day runs from 00:00 to 24:00$/);
  assert.match(parseTime(" 13:00 pm ").wrong, /^there is no 13:00 pm;/);
  for (const text of ["13:00 pm", "0:30 am"]) assert.match(parseTime(text).wrong, /^there is no .*; write e\.g\. 10:30 pm$/);
});

test("every formatted time can be parsed, with both clocks", () => {
  for (let minutes = 0; minutes < DAY; minutes += 1) {
    assert.equal(parseTime(formatTime(minutes)).minutes, minutes);
    assert.equal(parseTime(formatTime(minutes, 12)).minutes, minutes);
  }
});

test("a range by either clock, and as the files have it", () => {
  const block = { from: 1350, to: DAY };
  assert.equal(formatRange(block, 24), "22:30-24:00");
  assert.equal(formatRange(block, 12), "10:30 pm to 12:00 am");
  assert.equal(formatFileRange(block), "22:30-24:00");
});

test("accepted ranges", () => {
  const ranges = { "9-12:30": [540, 750], "09:00 – 12:30": [540, 750], "9:00—12:30": [540, 750], "10:30 pm to 11 pm": [1350, 1380], "22:30-24:00": [1350, DAY] };
  for (const [text, [from, to]] of Object.entries(ranges)) assert.deepEqual(parseRange(text), { from, to }, text);
});

test("midnight as an end is the end of the day", () => {
  assert.deepEqual(parseRange("22:30-00:00"), { from: 1350, to: DAY });
  assert.deepEqual(parseRange("10:30 pm to 12:00 am"), { from: 1350, to: DAY });
  assert.deepEqual(parseRange("0-24"), { from: 0, to: DAY });
});

test("a whole day is read as it is written, by either clock", () => {
  for (const clock of [24, 12]) assert.deepEqual(parseRange(formatRange({ from: 0, to: DAY }, clock)), { from: 0, to: DAY });
});

test("a range across midnight is two, the early one first", () => {
  const { wrong, across } = parseRange("22:30-06:15");
  assert.match(wrong, /^it ends before it starts/);
  assert.deepEqual(across, [{ from: 0, to: 375 }, { from: 1350, to: DAY }]);
});

test("invalid ranges", () => {
  for (const text of ["9:00", "9:00-", "-9:00", "9-10-11", ""]) assert.match(parseRange(text).wrong, /^expected a start and an end/);
  assert.equal(parseRange("9:00-9:00").wrong, "it ends when it starts; write a later end, e.g. 22:30-24:00");
  assert.equal(parseRange("0:00-0:00").wrong, "it ends when it starts; the end of the day is 24:00, so write 00:00-24:00");
  assert.match(parseRange("9:00-7ish").wrong, /"7ish" is no time/);
  assert.match(parseRange("7ish-9:00").wrong, /"7ish" is no time/);
});

test("minutes in words", () => {
  for (const [minutes, text] of [[0, "0 min"], [45, "45 min"], [60, "1 h"], [135, "2 h 15 min"]]) assert.equal(formatMinutes(minutes), text);
});

test("a day that is closed late opens today", () => {
  assert.equal(nextDayName({ today: "2025-03-13", tomorrow: { day: "2025-03-14" } }), "tomorrow");
  assert.equal(nextDayName({ today: "2025-03-13", tomorrow: { day: "2025-03-13" } }), "today");
});
