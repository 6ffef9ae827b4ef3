import assert from "node:assert/strict";
import { test } from "node:test";

import { drawBlock, FINE, isBlock, minutesAt, moveBlock, snap, STEP, textColour } from "../../../journal/pages/browser/strip_edit.js";
import { DAY } from "../../../journal/pages/browser/times.js";

const block = { from: 540, to: 600 };

test("a place on the track is a minute of the day, and beside it the nearest", () => {
  const box = { left: 100, width: 480 };
  for (const [x, minutes] of [[100, 0], [340, 720], [580, DAY], [99, 0], [900, DAY], [120, 60]]) assert.equal(minutesAt(x, box), minutes);
});

test("a minute goes to the nearest step inside the day", () => {
  for (const [minutes, at] of [[7, 0], [8, 15], [547, 540], [548, 555], [1439, DAY], [-20, 0], [1500, DAY]]) assert.equal(snap(minutes), at, String(minutes));
  assert.equal(snap(547, FINE), 545);
  assert.equal(snap(548, FINE), 550);
});

test("a whole block keeps its length, up to the ends of the day", () => {
  assert.deepEqual(moveBlock(block, "whole", 15), { from: 555, to: 615 });
  assert.deepEqual(moveBlock(block, "whole", -600), { from: 0, to: 60 });
  assert.deepEqual(moveBlock(block, "whole", 2000), { from: DAY - 60, to: DAY });
});

test("the start moves alone and stays before the end", () => {
  assert.deepEqual(moveBlock(block, "start", -15), { from: 525, to: 600 });
  assert.deepEqual(moveBlock(block, "start", 60), { from: 600 - FINE, to: 600 });
  assert.deepEqual(moveBlock(block, "start", -999), { from: 0, to: 600 });
});

test("the end moves alone and stays behind the start, up to midnight", () => {
  assert.deepEqual(moveBlock(block, "end", 15), { from: 540, to: 615 });
  assert.deepEqual(moveBlock(block, "end", -60), { from: 540, to: 540 + FINE });
  assert.deepEqual(moveBlock(block, "end", 999), { from: 540, to: DAY });
});

test("what is moved by hand comes to stand on a step, its other end where it was", () => {
  const odd = { from: 542, to: 601 };
  assert.deepEqual(moveBlock(odd, "start", 11, snap), { from: 555, to: 601 });
  assert.deepEqual(moveBlock(odd, "end", 11, snap), { from: 542, to: 615 });
  assert.deepEqual(moveBlock(odd, "whole", 11, snap), { from: 555, to: 614 });
});

test("moving changes nothing of the block itself", () => {
  const kept = { from: 540, to: 600 };
  moveBlock(kept, "whole", 15);
  moveBlock(kept, "end", 15);
  assert.deepEqual(kept, { from: 540, to: 600 });
});

test("a block is drawn in either direction", () => {
  assert.deepEqual(drawBlock(540, 600), { from: 540, to: 600 });
  assert.deepEqual(drawBlock(540, 480), { from: 480, to: 540 });
});

test("a press without a move draws no block, five minutes do", () => {
  assert.equal(isBlock(drawBlock(540, 540)), false);
  assert.equal(isBlock(drawBlock(540, 540 + FINE)), true);
  assert.equal(isBlock(drawBlock(540, 540 + FINE - 1)), false);
});

test("steps are a quarter of an hour, and five minutes with Alt", () => {
  assert.deepEqual([STEP, FINE], [15, 5]);
});

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
