import assert from "node:assert/strict";
import { test } from "node:test";

import { loadOpened, saveOpened } from "../../../journal/pages/browser/opened_chapters.js";

function storage(kept = {}) {
  return {
    kept,
    getItem: (key) => kept[key] ?? null,
    setItem: (key, value) => { kept[key] = value; },
    removeItem: (key) => { delete kept[key]; },
  };
}

test("what is open is kept by journal and page, and nothing is kept of a folded page", () => {
  const place = storage();
  saveOpened("j1", "week", ["mood", "nights"], place);
  assert.deepEqual(loadOpened("j1", "week", place), ["mood", "nights"]);
  assert.deepEqual(loadOpened("j1", "month", place), []);
  assert.deepEqual(loadOpened("j2", "week", place), []);
  saveOpened("j1", "week", [], place);
  assert.deepEqual(place.kept, {});
});

test("anything else in the storage, or no storage, is as nothing", () => {
  for (const text of ["{", "7", '{"a":1}']) assert.deepEqual(loadOpened("j", "week", storage({ "duskbook j opened week": text })), []);
  assert.deepEqual(loadOpened("j", "week", storage({ "duskbook j opened week": '["mood",4]' })), ["mood"]);
  const closed = { getItem() { throw new Error("denied"); }, setItem() { throw new Error("denied"); } };
  assert.deepEqual(loadOpened("j", "week", closed), []);
  saveOpened("j", "week", ["mood"], closed);
});
