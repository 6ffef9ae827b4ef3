import assert from "node:assert/strict";
import { test } from "node:test";

import { draftDays, dropDraft, loadDraft, saveDraft } from "../../../journal/pages/browser/drafts.js";
import { memory } from "./memory.js";

const offer = (day) => ({ day, base: "b" });

test("a draft is kept with the offer it was begun from, by journal and day", async () => {
  const kept = await memory();
  saveDraft("mine", offer("2025-03-13"), { mood: 4 }, kept);
  assert.deepEqual(loadDraft("mine", "2025-03-13", kept), { offer: offer("2025-03-13"), now: { mood: 4 } });
  assert.equal(loadDraft("mine", "2025-03-12", kept), null);
  assert.equal(loadDraft("other", "2025-03-13", kept), null);
});

test("a later draft of a day replaces the earlier one", async () => {
  const kept = await memory();
  saveDraft("mine", offer("2025-03-13"), { mood: 4 }, kept);
  saveDraft("mine", offer("2025-03-13"), { mood: 5 }, kept);
  assert.equal(loadDraft("mine", "2025-03-13", kept).now.mood, 5);
  assert.equal(kept.names().length, 1);
});

test("a draft that was dropped is gone, others stay", async () => {
  const kept = await memory();
  saveDraft("mine", offer("2025-03-12"), {}, kept);
  saveDraft("mine", offer("2025-03-13"), {}, kept);
  dropDraft("mine", "2025-03-13", kept);
  assert.equal(loadDraft("mine", "2025-03-13", kept), null);
  assert.deepEqual(draftDays("mine", kept), ["2025-03-12"]);
});

test("the days of a journal's drafts, in order, without other keys", async () => {
  const kept = await memory();
  for (const day of ["2025-03-13", "2025-01-02", "decide"]) saveDraft("mine", offer(day), {}, kept);
  saveDraft("other", offer("2025-02-02"), {}, kept);
  kept.set("something else", "x");
  assert.deepEqual(draftDays("mine", kept), ["2025-01-02", "2025-03-13"]);
});

test("no more than forty are kept", async () => {
  const kept = await memory();
  for (let day = 10; day < 60; day += 1) saveDraft("mine", offer(`2025-${day}`), {}, kept);
  assert.equal(kept.names().length, 40);
  assert.equal(loadDraft("mine", "2025-59", kept) !== null, true);
});

test("the oldest of this journal's drafts goes, whatever its day, and never the one just saved or a key of others", async () => {
  const kept = await memory();
  const real = Date.now;
  let now = 0;
  Date.now = () => ++now;
  try {
    for (const key of ["a", "b"]) kept.set(key, "not ours");
    saveDraft("a different one", offer("2024-01-01"), {}, kept);
    saveDraft("mine", offer("decide"), {}, kept);
    for (let day = 10; day < 50; day += 1) saveDraft("mine", offer(`2025-${day}`), {}, kept);
    saveDraft("mine", offer("2025-10"), { again: true }, kept); // so 2025-11 is the oldest now
    saveDraft("mine", offer("2024-12-31"), { late: true }, kept); // its key sorts first
  } finally {
    Date.now = real;
  }
  assert.deepEqual(loadDraft("mine", "2024-12-31", kept).now, { late: true });
  assert.deepEqual(loadDraft("mine", "2025-10", kept).now, { again: true });
  assert.equal(loadDraft("mine", "2025-11", kept), null);
  assert.equal(draftDays("mine", kept).length, 40);
  assert.deepEqual(["a", "b"].map((key) => kept.get(key)), ["not ours", "not ours"]);
  assert.ok(loadDraft("a different one", "2024-01-01", kept));
  assert.ok(loadDraft("mine", "decide", kept));
});
