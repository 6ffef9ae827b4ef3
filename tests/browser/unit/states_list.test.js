import assert from "node:assert/strict";
import { test } from "node:test";

import { changedPages, keptStates, linesOf, lookedAt } from "../../../journal/pages/browser/states_list.js";

const page = (key, now) => ({ key, now });

test("a page counts as changed with another text, or when it comes into the list", () => {
  assert.deepEqual(changedPages({ pages: [page("a", "1"), page("b", "2")] }, { pages: [page("a", "1"), page("b", "3"), page("c", "4")] }), ["b", "c"]);
});

test("older states are added to the list, and a list from the start replaces it", () => {
  const list = { states: ["a"], more: 2 };
  assert.deepEqual(keptStates(list, { states: ["b"], more: 1 }, 1), { states: ["a", "b"], more: 1 });
  assert.deepEqual(keptStates(list, { states: ["c"], more: 0 }, 0), { states: ["c"], more: 0 });
});

test("what is looked at stays open only while that state can be brought back", () => {
  const open = { ref: "a", view: {} };
  assert.equal(lookedAt(open, { states: [{ ref: "a", can_return: true }] }), open);
  assert.equal(lookedAt(open, { states: [{ ref: "a", can_return: false }] }), null);
  assert.equal(lookedAt(open, { states: [] }), null);
});

test("the first state that is kept says so", () => {
  assert.deepEqual(linesOf({ changes: ["mood 4"], is_first: true }), ["the first state that is kept:", "mood 4"]);
  assert.deepEqual(linesOf({ changes: [], is_first: false }), ["nothing in its values"]);
});
