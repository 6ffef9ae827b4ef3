import assert from "node:assert/strict";
import { test } from "node:test";

import { editList, typedTexts } from "../../../journal/pages/browser/day_memory.js";
import { draftDays } from "../../../journal/pages/browser/drafts.js";
import { memory } from "./memory.js";

const edit = (did) => ({ did, undo: `${did} undo`, day: "2025-03-13" });

test("typed texts survive a reload with the version they were begun on, by journal and day", async () => {
  const kept = await memory();
  const typed = typedTexts("mine", "2025-03-13", kept);
  typed.put("add.text", "Thr", "first");
  typed.put("add.text", "Thread", "second");
  const again = typedTexts("mine", "2025-03-13", kept);
  assert.deepEqual([again.texts, again.begun], [{ "add.text": "Thread" }, { "add.text": "first" }]);
  assert.deepEqual(typedTexts("mine", "2025-03-14", kept).texts, {});
  assert.deepEqual(typedTexts("other", "2025-03-13", kept).texts, {});
  assert.deepEqual(draftDays("mine", kept), [], "the evening does not take them for drafts of its own");
  again.drop("add.text");
  assert.deepEqual(kept.names(), []);
});

test("edits are undone newest first, the last fifty are kept", async () => {
  const kept = await memory();
  const edits = editList("mine", kept);
  assert.equal(edits.last, null);
  for (let count = 1; count <= 52; count += 1) edits.add(edit(`edit ${count}`));
  const again = editList("mine", kept);
  assert.equal(again.count, 50);
  assert.deepEqual(again.newest(2).map(({ did }) => did), ["edit 52", "edit 51"]);
  again.drop();
  assert.equal(again.last.did, "edit 51");
  assert.equal(editList("mine", kept).count, 49);
});
