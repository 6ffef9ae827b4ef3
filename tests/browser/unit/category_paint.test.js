import assert from "node:assert/strict";
import { test } from "node:test";

import { beginning, textureClass } from "../../../journal/pages/browser/category_paint.js";

const named = (...names) => names.map((name) => ({ key: name.toLowerCase(), name }));

test("the beginning of a name is its own, as short as it can be", () => {
  const categories = named("Sleep", "Morning", "Music", "Outside", "Übung");
  assert.deepEqual(categories.map(({ key }) => beginning(categories, key)), ["S", "Mo", "Mu", "O", "Ü"]);
});

test("names that begin alike have three letters, and a category that is not there has those of its key", () => {
  const categories = named("Workshop", "Working lunch", "wo");
  assert.deepEqual(["workshop", "working lunch", "wo", "gone"].map((key) => beginning(categories, key)), ["Wor", "Wor", "wo", "g"]);
});

test("a texture is that of the place of a category, and comes again after twelve", () => {
  assert.deepEqual([0, 11, 12].map(textureClass), ["texture-0", "texture-11", "texture-0"]);
});
