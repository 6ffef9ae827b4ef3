import assert from "node:assert/strict";
import { test } from "node:test";

import { byRank, moveTask, setRank } from "../../../journal/pages/browser/ranks.js";

const task = (title, rank = null) => ({ title, rank });
const order = (tasks) => tasks.map((one) => `${one.title}${one.rank ?? ""}`).join(" ");

test("ranked tasks stand first, the others in their own order", () => {
  assert.equal(order(byRank([task("a"), task("b", 3), task("c"), task("d", 1), task("e", 2)])), "d1 e2 b3 a c");
});

test("tasks of one rank keep their order, and the list that was given stays as it is", () => {
  const tasks = [task("a", 2), task("b", 2), task("c", 1)];
  assert.equal(order(byRank(tasks)), "c1 a2 b2");
  assert.equal(order(tasks), "a2 b2 c1");
});

test("a rank that another task has changes places with it", () => {
  const tasks = [task("a", 1), task("b", 2), task("c")];
  assert.equal(order(setRank(tasks, tasks[1], 1)), "b1 a2 c");
});

test("a task without a rank takes one, and the one that had it has none", () => {
  const tasks = [task("a", 1), task("b", 2), task("c")];
  assert.equal(order(setRank(tasks, tasks[2], 1)), "c1 b2 a");
});

test("a rank taken away leaves the others theirs", () => {
  const tasks = [task("a", 1), task("b", 2), task("c")];
  assert.equal(order(setRank(tasks, tasks[0], null)), "b2 a c");
});

test("the rank a task has already changes nothing", () => {
  const tasks = [task("a", 1), task("b", 2)];
  assert.equal(order(setRank(tasks, tasks[0], 1)), "a1 b2");
});

test("a task that moves leaves its rank at its place", () => {
  const tasks = [task("a", 1), task("b", 2), task("c")];
  assert.equal(moveTask(tasks, 1, -1), true);
  assert.equal(order(tasks), "b1 a2 c");
  assert.equal(moveTask(tasks, 1, 1), true);
  assert.equal(order(tasks), "b1 c2 a");
});

test("beyond the ends of the list nothing moves", () => {
  const tasks = [task("a", 1), task("b")];
  assert.equal(moveTask(tasks, 0, -1), false);
  assert.equal(moveTask(tasks, 1, 1), false);
  assert.equal(order(tasks), "a1 b");
});
