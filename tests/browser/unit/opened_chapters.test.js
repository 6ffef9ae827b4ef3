import assert from "node:assert/strict";
import { test } from "node:test";

import { loadOpened, saveOpened } from "../../../journal/pages/browser/opened_chapters.js";
import { memory } from "./memory.js";

test("what is open is kept by journal and page, and nothing is kept of a folded page", async () => {
  const kept = await memory();
  saveOpened("j1", "week", ["mood", "nights"], kept);
  assert.deepEqual(loadOpened("j1", "week", kept), ["mood", "nights"]);
  assert.deepEqual(loadOpened("j1", "month", kept), []);
  assert.deepEqual(loadOpened("j2", "week", kept), []);
  saveOpened("j1", "week", [], kept);
  assert.deepEqual(kept.names(), []);
});

test("anything else that is kept is as nothing", async () => {
  const kept = await memory();
  for (const value of [7, { a: 1 }, null]) {
    kept.set("j opened week", value);
    assert.deepEqual(loadOpened("j", "week", kept), []);
  }
  kept.set("j opened week", ["mood", 4]);
  assert.deepEqual(loadOpened("j", "week", kept), ["mood"]);
});
