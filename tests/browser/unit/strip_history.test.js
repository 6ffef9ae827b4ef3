import assert from "node:assert/strict";
import { test } from "node:test";

import { lineHistory } from "../../../journal/pages/browser/strip_history.js";

test("steps are undone and done again", () => {
  const history = lineHistory(["a"]);
  assert.equal(history.canUndo(["a"]), false);
  history.note(["b"]);
  history.note(["c"]);
  assert.deepEqual(history.undo(["c"]), ["b"]);
  assert.deepEqual(history.undo(["b"]), ["a"]);
  assert.equal(history.undo(["a"]), null);
  assert.deepEqual(history.redo(["a"]), ["b"]);
  assert.deepEqual(history.redo(["b"]), ["c"]);
  assert.equal(history.redo(["c"]), null);
});

test("a step after an undo ends what could be done again", () => {
  const history = lineHistory(["a"]);
  history.note(["b"]);
  history.undo(["b"]);
  assert.equal(history.canRedo(["a"]), true);
  history.note(["d"]);
  assert.equal(history.canRedo(["d"]), false);
  assert.deepEqual(history.undo(["d"]), ["a"]);
});

test("typing between two gestures is a step of its own, and no undo loses it", () => {
  const history = lineHistory(["a"]);
  history.note(["b"]);
  assert.equal(history.canUndo(["b typed"]), true);
  assert.deepEqual(history.undo(["b typed"]), ["b"]);
  assert.deepEqual(history.redo(["b"]), ["b typed"]);
  history.undo(["b typed"]);
  assert.equal(history.redo(["typed again"]), null);
  assert.deepEqual(history.undo(["typed again"]), ["b"]);
});

test("the keys of one run are one step, and none if they come back", () => {
  const history = lineHistory(["a"]);
  history.note(["b"]);
  history.note(["c"], true);
  assert.deepEqual(history.undo(["c"]), ["a"]);
  history.note(["b"]);
  history.note(["a"], true);
  assert.equal(history.canUndo(["a"]), false);
});

test("what it gives out may be changed", () => {
  const history = lineHistory(["a"]);
  history.note(["b"]);
  history.undo(["b"]).push("z");
  assert.deepEqual(history.redo(["a"]), ["b"]);
});

test("a hundred steps are kept", () => {
  const history = lineHistory(["0"]);
  for (let step = 1; step <= 150; step += 1) history.note([String(step)]);
  let now = ["150"];
  let steps = 0;
  for (let before = history.undo(now); before; before = history.undo(now)) {
    now = before;
    steps += 1;
  }
  assert.deepEqual([steps, now], [100, ["50"]]);
});
