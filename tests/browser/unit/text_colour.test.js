import assert from "node:assert/strict";
import { test } from "node:test";

import { textColour } from "../../../journal/pages/browser/text_colour.js";

// By WCAG 2.2: each colour has a contrast above 4.5 to one of black and white, and below to the other.
test("a name stands in the colour that reads better", () => {
  for (const colour of ["#FFFFFF", "#DDCC77", "#88CCEE", "#F6DE9E", "#00FF00", "#AA66FF"]) assert.equal(textColour(colour), "#14151F", colour);
  for (const colour of ["#000000", "#332288", "#882255", "#117733", "#0000FF", "#AA0000"]) assert.equal(textColour(colour), "#FFFFFF", colour);
});

// Contrasts of #767676 by WCAG 2.2: 4.54 to white, 4.0 to the dark text. Black would have 4.62.
test("between black and the dark text, the contrast of the text itself decides", () => {
  assert.equal(textColour("#767676"), "#FFFFFF");
  assert.equal(textColour("#7F7F7F"), "#14151F");
});
