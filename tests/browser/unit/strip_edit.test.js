import assert from "node:assert/strict";
import { test } from "node:test";

import { edited, erase, ERASER, FINE, moveSpan, openHour, paint, put, snap, STEP, taken } from "../../../journal/pages/browser/strip_edit.js";
import { DAY } from "../../../journal/pages/browser/times.js";

const span = (category, from, to) => ({ category, from, to });
const DAYS_PLAN = [span("sleep", 0, 375), span("work", 540, 750), span("work", 810, 1020), span("sleep", 1350, DAY)];

test("a minute goes to the nearest step inside the day", () => {
  for (const [minutes, at] of [[7, 0], [8, 15], [547, 540], [548, 555], [1439, DAY], [-20, 0], [1500, DAY]]) assert.equal(snap(minutes), at, String(minutes));
  assert.equal(snap(547, FINE), 545);
  assert.equal(snap(548, FINE), 550);
});

test("painting on open ground adds a span, beginning at the very edge of another", () => {
  assert.deepEqual(paint(DAYS_PLAN, "walk", { from: 750, to: 810 })[2], span("walk", 750, 810));
  assert.deepEqual(paint([], "walk", { from: 0, to: DAY }), [span("walk", 0, DAY)]);
  assert.deepEqual(paint(DAYS_PLAN, "walk", { from: 600, to: 600 }), DAYS_PLAN);
});

test("painting over others cuts, splits and replaces them", () => {
  assert.deepEqual(paint([span("work", 540, 750)], "walk", { from: 600, to: 660 }), [span("work", 540, 600), span("walk", 600, 660), span("work", 660, 750)]);
  assert.deepEqual(paint([span("work", 540, 750)], "walk", { from: 500, to: 600 }), [span("walk", 500, 600), span("work", 600, 750)]);
  assert.deepEqual(paint([span("work", 540, 750), span("home", 750, 780)], "walk", { from: 540, to: 780 }), [span("walk", 540, 780)]);
});

test("painting beside its own category makes the block longer", () => {
  assert.deepEqual(paint([span("work", 540, 750), span("work", 810, 1020)], "work", { from: 750, to: 810 }), [span("work", 540, 1020)]);
  assert.deepEqual(paint([span("work", 542, 750)], "work", { from: 600, to: 660 }), [span("work", 542, 750)]);
});

test("a time typed to the minute stays until it is painted over", () => {
  const odd = [span("sleep", 0, 380), span("work", 540, 750)];
  assert.deepEqual(paint(odd, "walk", { from: 390, to: 540 })[0], span("sleep", 0, 380));
  assert.deepEqual(paint(odd, "walk", { from: 375, to: 540 })[0], span("sleep", 0, 375));
});

test("an overlap of a file is settled where it is painted, and stays elsewhere", () => {
  const both = [span("work", 540, 700), span("home", 600, 750)];
  assert.deepEqual(paint(both, "walk", { from: 600, to: 700 }), [span("work", 540, 600), span("walk", 600, 700), span("home", 700, 750)]);
  assert.deepEqual(paint(both, "walk", { from: 0, to: 60 }).slice(1), both);
});

test("erasing leaves open hours", () => {
  assert.deepEqual(erase(DAYS_PLAN, { from: 600, to: 900 }), [DAYS_PLAN[0], span("work", 540, 600), span("work", 900, 1020), DAYS_PLAN[3]]);
});

test("a span that is put elsewhere takes its minutes there, and leaves open ones", () => {
  assert.deepEqual(put(DAYS_PLAN, DAYS_PLAN[1], { from: 840, to: 900 }), [DAYS_PLAN[0], span("work", 810, 840), span("work", 840, 900), span("work", 900, 1020), DAYS_PLAN[3]]);
});

test("a span is found by the line it stands on", () => {
  const [one, other] = [{ ...span("work", 540, 600), place: 0 }, { ...span("work", 540, 600), place: 1 }];
  assert.deepEqual(edited([one, other], { kind: "remove", span: { ...other } }), [one]);
  assert.deepEqual(edited([one], { kind: "recolour", span: { ...one }, category: "home" }), [{ ...one, category: "home" }]);
});

test("a whole span keeps its length, up to the ends of the day", () => {
  const block = { from: 540, to: 600 };
  assert.deepEqual(moveSpan(block, "whole", 15), { from: 555, to: 615 });
  assert.deepEqual(moveSpan(block, "whole", -600), { from: 0, to: 60 });
  assert.deepEqual(moveSpan(block, "whole", 2000), { from: DAY - 60, to: DAY });
});

test("an edge moves alone and stays on its side of the other", () => {
  const block = { from: 540, to: 600 };
  assert.deepEqual(moveSpan(block, "start", -15), { from: 525, to: 600 });
  assert.deepEqual(moveSpan(block, "start", 60), { from: 600 - FINE, to: 600 });
  assert.deepEqual(moveSpan(block, "start", -999), { from: 0, to: 600 });
  assert.deepEqual(moveSpan(block, "end", 15), { from: 540, to: 615 });
  assert.deepEqual(moveSpan(block, "end", -60), { from: 540, to: 540 + FINE });
  assert.deepEqual(moveSpan(block, "end", 999), { from: 540, to: DAY });
});

test("an end moved on steps comes to stand on one, and the other end where it was", () => {
  const odd = { from: 542, to: 601 };
  assert.deepEqual(moveSpan(odd, "start", 11, STEP), { from: 555, to: 601 });
  assert.deepEqual(moveSpan(odd, "end", 11, STEP), { from: 542, to: 615 });
  assert.deepEqual(moveSpan(odd, "whole", 11, STEP), { from: 555, to: 614 });
  assert.deepEqual(moveSpan(odd, "start", 400, STEP), { from: 585, to: 601 });
  assert.deepEqual(moveSpan(odd, "end", -400, STEP), { from: 542, to: 555 });
});

test("a press on open ground is an hour from its quarter, up to the next block", () => {
  assert.deepEqual(openHour([], 609), { from: 600, to: 660 });
  assert.deepEqual(openHour([], DAY), { from: DAY - 15, to: DAY });
  assert.deepEqual(openHour([span("sleep", 0, 380), span("work", 420, 480)], 382), { from: 380, to: 420 });
  assert.equal(openHour([span("work", 420, 480)], 420), null);
  assert.deepEqual(openHour([span("work", 420, 480)], 480), { from: 480, to: 540 });
});

test("the minutes that others lost", () => {
  const after = paint(DAYS_PLAN, "walk", { from: 300, to: 600 });
  assert.deepEqual(taken(DAYS_PLAN, after, "walk"), [["sleep", 75], ["work", 60]]);
  assert.deepEqual(taken(after, after, "walk"), []);
});

// A generator of numbers below `bound` from a seed (mulberry32), so that a failure can be repeated.
function numbers(seed) {
  let state = seed;
  return (bound) => {
    state = (state + 0x6d2b79f5) | 0;
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state);
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed;
    return ((mixed ^ (mixed >>> 14)) >>> 0) % bound;
  };
}

// The strip as what each of its minutes is: slow, and without any idea of spans.
const minutesOf = (spans) => {
  const minutes = Array(DAY).fill(null);
  for (const { category, from, to } of spans) minutes.fill(category, from, to);
  return minutes;
};

function randomSpans(number) {
  const spans = [];
  for (let at = 0; at < DAY;) {
    const [from, step] = [at + number(90), number(3) ? 15 : 1];
    const begin = Math.ceil(from / step) * step;
    const to = Math.min(begin + step * (1 + number(20)), DAY);
    if (begin < to) spans.push({ ...span("abcd"[number(4)], begin, to), place: spans.length });
    at = Math.max(to, at + 1);
  }
  return spans;
}

test("2000 random edits are what they are minute by minute", () => {
  const number = numbers(20250314);
  const kinds = { paint: 0, put: 0, recolour: 0, remove: 0 };
  for (let round = 0; round < 2000; round += 1) {
    const spans = randomSpans(number);
    const kept = JSON.stringify(spans);
    const kind = spans.length ? Object.keys(kinds)[number(4)] : "paint";
    kinds[kind] += 1;
    const chosen = spans[number(spans.length || 1)];
    const expected = minutesOf(spans);
    let edit = { kind, span: chosen };
    if (kind === "paint") {
      const [one, other] = [number(97) * 15, number(97) * 15];
      edit = { kind, category: number(4) ? "abcde"[number(5)] : ERASER, from: Math.min(one, other), to: Math.max(one, other) };
      expected.fill(edit.category === ERASER ? null : edit.category, edit.from, edit.to);
    } else {
      expected.fill(null, chosen.from, chosen.to);
      if (kind === "put") Object.assign(edit, moveSpan(chosen, ["whole", "start", "end"][number(3)], number(2 * DAY) - DAY, STEP));
      if (kind === "recolour") edit.category = "abcde"[number(5)];
      if (kind !== "remove") expected.fill(edit.category ?? chosen.category, edit.from ?? chosen.from, edit.to ?? chosen.to);
    }
    const after = edited(spans, edit);
    const what = `${JSON.stringify(spans)} ${JSON.stringify(edit)}`;
    assert.equal(minutesOf(after).join(), expected.join(), what);
    assert.equal(JSON.stringify(spans), kept, what);
    after.forEach(({ from, to }, at) => assert.ok(0 <= from && from < to && to <= (after[at + 1]?.from ?? DAY), what));
    // An end that was not there before is one of the gesture's: a quarter of an hour, unless a whole block kept its length.
    const known = new Set(spans.flatMap(({ from, to }) => [from, to]));
    if (kind === "put") for (const end of [edit.from, edit.to]) known.add(end);
    for (const { from, to } of after) for (const end of [from, to]) assert.ok(known.has(end) || end % STEP === 0, what);
    const isTouched = (one) => (kind !== "paint" && one === chosen) || (edit.from <= one.to && edit.to >= one.from);
    assert.ok(spans.every((one) => isTouched(one) || after.includes(one)), what);
  }
  assert.ok(Object.values(kinds).every((count) => count > 300), JSON.stringify(kinds));
});
