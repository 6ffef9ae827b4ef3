import assert from "node:assert/strict";
import { test } from "node:test";

import { continues, followTask, releaseTask } from "../../../journal/pages/browser/carried_tasks.js";

const planned = (change = {}) => ({ title: "Quote", source_ref: "t1", from: "page", ...change });

test("a task of tomorrow continues the one whose reference it has", () => {
  assert.equal(continues(planned(), { ref: "t1" }), true);
  assert.equal(continues(planned(), { ref: "t2" }), false);
  assert.equal(continues(planned({ source_ref: null }), { ref: null }), false);
  assert.equal(continues(planned({ source_ref: undefined }), { ref: undefined }), false);
  assert.equal(continues(planned({ from: "undated" }), { ref: "t1" }), false);
});

test("a task that is carried stands on tomorrow, with what is known of it", () => {
  const now = { next: [] };
  assert.equal(followTask(now, { ref: "t1", id: "t1", title: "Quote", estimate: 45, said: "since Tuesday", what: "carry" }), true);
  assert.deepEqual(now.next, [{ ref: null, title: "Quote", rank: null, estimate: 45, said: "since Tuesday", id: "t1", from: "carried", source_ref: "t1" }]);
});

test("without an estimate its field is empty", () => {
  const now = { next: [] };
  followTask(now, { ref: "t1", title: "Quote", estimate: null, what: "carry" });
  assert.equal(now.next[0].estimate, "");
});

test("a task that stands on tomorrow already is not put there twice", () => {
  const now = { next: [planned()] };
  assert.equal(followTask(now, { ref: "t1", what: "carry" }), false);
  assert.equal(now.next.length, 1);
});

test("a task that is not carried after all leaves tomorrow, others stay", () => {
  const now = { next: [planned(), planned({ source_ref: "t2" })] };
  assert.equal(followTask(now, { ref: "t1", what: "done" }), true);
  assert.deepEqual(now.next.map((one) => one.source_ref), ["t2"]);
  assert.equal(followTask(now, { ref: "t1", what: "done" }), false);
});

test("a task taken off tomorrow is open again where it came from, or on its later day", () => {
  const now = { tasks: [{ ref: "t1", what: "carry" }, { ref: "t2", what: "carry", away: true }, { ref: "t3", what: "done" }] };
  assert.equal(releaseTask(now, planned()), now.tasks[0]);
  assert.equal(releaseTask(now, planned({ source_ref: "t2" })), now.tasks[1]);
  assert.deepEqual(now.tasks.map((one) => one.what), ["open", "away", "done"]);
});

test("a task taken off tomorrow that came from nowhere, or was done since, changes nothing today", () => {
  const now = { tasks: [{ ref: "t3", what: "done" }] };
  assert.equal(releaseTask(now, planned({ source_ref: "t3" })), null);
  assert.equal(releaseTask(now, planned({ source_ref: null })), null);
  assert.equal(now.tasks[0].what, "done");
});
