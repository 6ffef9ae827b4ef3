import assert from "node:assert/strict";
import { test } from "node:test";

import { decisionsOf, hintOf, isDecided, linesOf, summaryOf } from "../../../journal/pages/browser/copy_state.js";

const view = { clashes: [{ field: "mood", file: "a.toml", theirs: 4, name: "mood" }, { field: "memory", file: "a.toml", theirs: null, name: "memory" }], changes: [] };

test("decisions carry the value of the page that was shown, and none is sent before it is made", () => {
  assert.deepEqual(decisionsOf(view, { memory: "mine" }), [{ field: "memory", file: "a.toml", theirs: null, which: "mine" }]);
  assert.deepEqual(decisionsOf(undefined, {}), []);
  assert.equal(isDecided(view, { memory: "mine" }), false);
  assert.equal(isDecided(view, { memory: "mine", mood: "theirs" }), true);
});

test("the card says how many copies there are, and that a copy without news only goes", () => {
  assert.equal(summaryOf([{}]), "A copy of a page lies in the folder");
  assert.equal(summaryOf([{}, {}]), "2 copies of pages lie in the folder");
  assert.match(hintOf([{}, {}]), /left them.*until they are merged into their pages/);
  assert.deepEqual(linesOf(view), ["Nothing: the page has all of it already. The copy goes."]);
});
