import assert from "node:assert/strict";
import { test } from "node:test";

import { editList, typedTexts } from "../../../journal/pages/browser/day_memory.js";
import { draftDays } from "../../../journal/pages/browser/drafts.js";
import { withStorage } from "./storage.js";

const edit = (did) => ({ did, undo: `${did} undo`, day: "2025-03-13" });

test("typed texts survive a reload with the version they were begun on, by journal and day", () => withStorage((kept) => {
  const typed = typedTexts("mine", "2025-03-13");
  typed.put("add.text", "Thr", "first");
  typed.put("add.text", "Thread", "second");
  const again = typedTexts("mine", "2025-03-13");
  assert.deepEqual([again.texts, again.begun], [{ "add.text": "Thread" }, { "add.text": "first" }]);
  assert.deepEqual(typedTexts("mine", "2025-03-14").texts, {});
  assert.deepEqual(typedTexts("other", "2025-03-13").texts, {});
  assert.deepEqual(draftDays("mine"), [], "the evening does not take them for drafts of its own");
  again.drop("add.text");
  assert.equal(kept.size, 0);
}));

test("edits are undone newest first, the last fifty are kept", () => withStorage(() => {
  const edits = editList("mine");
  assert.equal(edits.last, null);
  for (let count = 1; count <= 52; count += 1) edits.add(edit(`edit ${count}`));
  const again = editList("mine");
  assert.equal(again.count, 50);
  assert.deepEqual(again.newest(2).map(({ did }) => did), ["edit 52", "edit 51"]);
  again.drop();
  assert.equal(again.last.did, "edit 51");
  assert.equal(editList("mine").count, 49);
}));

test("without storage the page works on, and forgets at a reload", () => {
  const refuse = () => {
    throw new Error("refused");
  };
  withStorage(() => {
    const typed = typedTexts("mine", "2025-03-13");
    typed.put("add.text", "Thread", "first");
    assert.equal(typed.texts["add.text"], "Thread");
    const edits = editList("mine");
    edits.add(edit("done"));
    assert.equal(edits.last.did, "done");
  }, { setItem: refuse, getItem: refuse, removeItem: refuse });
});
