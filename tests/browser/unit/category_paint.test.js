import assert from "node:assert/strict";
import { test } from "node:test";

import { beginning, textureClass } from "../../../journal/pages/browser/category_paint.js";
import { contrast, textColour } from "../../../journal/pages/browser/text_colour.js";

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

test("a text has a contrast of 4.5 to 1 on any colour", () => {
  for (let red = 0; red < 256; red += 15) {
    for (let green = 0; green < 256; green += 15) {
      for (let blue = 0; blue < 256; blue += 15) {
        const colour = `#${[red, green, blue].map((part) => part.toString(16).padStart(2, "0")).join("")}`;
        assert.ok(contrast(textColour(colour), colour) >= 4.5, colour);
      }
    }
  }
});
