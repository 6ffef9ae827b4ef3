import assert from "node:assert/strict";
import { test } from "node:test";

import { habitText, nextPlace, placeName, placesFor, refOf, regularText, routineText, shortDay, taskText, timeText, unbroken } from "../../../journal/pages/browser/ahead_words.js";

const day = (date, title, change = {}) => ({ day: date, title, broken: false, holds: true, ...change });
const DAYS = [day("2025-03-17", "Monday 17 March"), day("2025-03-18", "Tuesday 18 March", { holds: false }), day("2025-03-19", "Wednesday 19 March", { broken: true, holds: null })];

test("a task goes to any other day, and without a day unless it has none", () => {
  assert.deepEqual(placesFor("undated/u2p5", DAYS).map(({ to }) => to), ["2025-03-17", "2025-03-18", "2025-03-19"]);
  assert.deepEqual(placesFor("2025-03-17/t7k2", DAYS).map(({ to }) => to), ["2025-03-18", "2025-03-19", "undated"]);
  assert.deepEqual(placesFor("2025-03-14/Fold/2", DAYS).map(({ to }) => to).at(-1), "undated");
});

test("a place says that it is full or cannot be written", () => {
  assert.deepEqual(placesFor("undated/u2p5", DAYS).map(placeName), ["Monday 17 March", "Tuesday 18 March, full", "Wednesday 19 March, its page cannot be read"]);
  assert.equal(placesFor("undated/u2p5", DAYS)[2].off, true);
  assert.equal(shortDay({ day: "2026-01-04" }), "Sun 4");
});

test("times, tasks, habits and routines in words", () => {
  assert.equal(timeText({ start: "08:30", end: "09:00" }, 24), "08:30–09:00");
  assert.equal(timeText({ start: "13:30", end: null }, 12), "1:30 pm");
  assert.equal(timeText({ start: null, end: null }, 24), "all day");
  const task = { ref: "t7k2", page: "2025-03-17", estimate: 90, said: "since Monday", status: "open" };
  assert.equal(taskText(task), "1 h 30 min · since Monday");
  assert.equal(taskText({ ...task, status: "done", estimate: null }), "done · since Monday");
  assert.equal(taskText({ ref: "undated/u2p5", estimate: 20, said: "since Monday, 20 min" }, "today"), "since Monday, 20 min · today");
  assert.deepEqual([refOf(task), refOf({ ref: "undated/u2p5" })], ["2025-03-17/t7k2", "undated/u2p5"]);
  assert.deepEqual(["due", "rest", "marked"].map((state) => habitText({ name: "Walk", state })), ["Walk", "Walk (rest)", "Walk (marked already)"]);
  assert.equal(habitText({ name: "Walk", state: "rest", lot: "By lot: on" }), "Walk (by lot: on, rest)");
  assert.deepEqual([routineText({ title: "Sweep", estimate: 30 }), routineText({ title: "Sweep", estimate: null })], ["Sweep, 30 min", "Sweep"]);
  assert.equal(regularText([{ when: "Every day", names: ["Walk", "Read"] }, { when: "3 times a week", names: ["Swim"] }]), "Every day: Walk, Read. 3 times a week: Swim.");
  assert.equal(regularText([]), "");
  assert.equal(unbroken("1 h 5 min in 12 hours"), "1\u00a0h 5\u00a0min in 12 hours");
});

test("the focus goes to the row that takes the place of the one that left", () => {
  assert.deepEqual([nextPlace(0, 2), nextPlace(2, 2), nextPlace(-1, 2), nextPlace(0, 0)], [0, 1, 0, null]);
});
