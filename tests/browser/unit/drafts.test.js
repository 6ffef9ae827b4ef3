import assert from "node:assert/strict";
import { test } from "node:test";

import { draftDays, dropDraft, loadDraft, saveDraft } from "../../../journal/pages/browser/drafts.js";
import { withStorage } from "./storage.js";

const offer = (day) => ({ day, base: "b" });
const refuse = () => {
  throw new Error("refused");
};

test("a draft is kept with the offer it was begun from, by journal and day", () => withStorage(() => {
  saveDraft("mine", offer("2025-03-13"), { mood: 4 });
  assert.deepEqual(loadDraft("mine", "2025-03-13"), { offer: offer("2025-03-13"), now: { mood: 4 } });
  assert.equal(loadDraft("mine", "2025-03-12"), null);
  assert.equal(loadDraft("other", "2025-03-13"), null);
}));

test("a later draft of a day replaces the earlier one", () => withStorage((kept) => {
  saveDraft("mine", offer("2025-03-13"), { mood: 4 });
  saveDraft("mine", offer("2025-03-13"), { mood: 5 });
  assert.equal(loadDraft("mine", "2025-03-13").now.mood, 5);
  assert.equal(kept.size, 1);
}));

test("a draft that was dropped is gone, others stay", () => withStorage(() => {
  saveDraft("mine", offer("2025-03-12"), {});
  saveDraft("mine", offer("2025-03-13"), {});
  dropDraft("mine", "2025-03-13");
  assert.equal(loadDraft("mine", "2025-03-13"), null);
  assert.deepEqual(draftDays("mine"), ["2025-03-12"]);
}));

test("the days of a journal's drafts, in order, without other keys", () => withStorage((kept) => {
  for (const day of ["2025-03-13", "2025-01-02", "decide"]) saveDraft("mine", offer(day), {});
  saveDraft("other", offer("2025-02-02"), {});
  kept.set("something else", "x");
  assert.deepEqual(draftDays("mine"), ["2025-01-02", "2025-03-13"]);
}));

test("no more than forty are kept", () => withStorage((kept) => {
  for (let day = 10; day < 60; day += 1) saveDraft("mine", offer(`2025-${day}`), {});
  assert.equal(kept.size, 40);
  assert.equal(loadDraft("mine", "2025-59") !== null, true);
}));

test("the oldest of this journal's drafts goes, whatever its day, and never the one just saved or a key of others", () => withStorage((kept) => {
  const real = Date.now;
  let now = 0;
  Date.now = () => ++now;
  try {
    for (const key of ["a", "b"]) kept.set(key, "not ours");
    saveDraft("a different one", offer("2024-01-01"), {});
    saveDraft("mine", offer("decide"), {});
    for (let day = 10; day < 50; day += 1) saveDraft("mine", offer(`2025-${day}`), {});
    saveDraft("mine", offer("2025-10"), { again: true }); // so 2025-11 is the oldest now
    saveDraft("mine", offer("2024-12-31"), { late: true }); // its key sorts first
  } finally {
    Date.now = real;
  }
  assert.deepEqual(loadDraft("mine", "2024-12-31").now, { late: true });
  assert.deepEqual(loadDraft("mine", "2025-10").now, { again: true });
  assert.equal(loadDraft("mine", "2025-11"), null);
  assert.equal(draftDays("mine").length, 40);
  assert.deepEqual(["a", "b"].map((key) => kept.get(key)), ["not ours", "not ours"]);
  assert.ok(loadDraft("a different one", "2024-01-01"));
  assert.ok(loadDraft("mine", "decide"));
}));

test("an unreadable draft is ignored", () => withStorage((kept) => {
  kept.set("duskbook mine 2025-03-13", "{");
  assert.equal(loadDraft("mine", "2025-03-13"), null);
}));

test("a storage that rejects writes is no error", () => withStorage(() => {
  saveDraft("mine", offer("2025-03-13"), {});
  dropDraft("mine", "2025-03-13");
  assert.equal(loadDraft("mine", "2025-03-13"), null);
}, { setItem: refuse, removeItem: refuse, getItem: refuse }));

test("a window without a storage is no error", () => {
  const real = Object.getOwnPropertyDescriptor(globalThis, "sessionStorage");
  Object.defineProperty(globalThis, "sessionStorage", { get: refuse, configurable: true });
  try {
    saveDraft("mine", offer("2025-03-13"), {});
    dropDraft("mine", "2025-03-13");
    assert.equal(loadDraft("mine", "2025-03-13"), null);
    assert.deepEqual(draftDays("mine"), []);
  } finally {
    if (real) Object.defineProperty(globalThis, "sessionStorage", real);
    else delete globalThis.sessionStorage;
  }
});
