import assert from "node:assert/strict";
import { test } from "node:test";

import { debounceRequest, PAUSE } from "../../../journal/pages/browser/debounce.js";

// A request whose answers are given by hand, and timers that are fired by hand.
function setUp() {
  const [asked, shown, timers] = [[], [], new Map()];
  let number = 0;
  const changed = debounceRequest(
    () => new Promise((resolve) => { asked.push(resolve); }),
    (answer) => shown.push(answer),
    (work) => {
      number += 1;
      timers.set(number, work);
      return number;
    },
    (timer) => timers.delete(timer),
  );
  const pause = () => {
    const due = [...timers.values()];
    timers.clear();
    due.forEach((work) => work());
  };
  return { asked, shown, timers, changed, pause };
}

const settled = () => new Promise((resolve) => { setTimeout(resolve, 0); });

test("nothing is sent before the pause, and one request after it, however much was typed", () => {
  const { asked, changed, pause, timers } = setUp();
  for (let times = 0; times < 5; times += 1) changed();
  assert.deepEqual([asked.length, timers.size], [0, 1]);
  pause();
  assert.equal(asked.length, 1);
  pause();
  assert.equal(asked.length, 1);
});

test("each pause sends a new request", () => {
  const { asked, changed, pause } = setUp();
  changed();
  pause();
  changed();
  pause();
  assert.equal(asked.length, 2);
});

test("an answer is shown", async () => {
  const { asked, shown, changed, pause } = setUp();
  changed();
  pause();
  asked[0]("fits");
  await settled();
  assert.deepEqual(shown, ["fits"]);
});

test("an answer to an earlier request is ignored, in either order", async () => {
  for (const order of [[0, 1], [1, 0]]) {
    const { asked, shown, changed, pause } = setUp();
    changed();
    pause();
    changed();
    pause();
    for (const place of order) {
      asked[place](`answer ${place}`);
      await settled();
    }
    assert.deepEqual(shown, ["answer 1"]);
  }
});

test("without an answer the display does not change", async () => {
  const { asked, shown, changed, pause } = setUp();
  changed();
  pause();
  asked[0](undefined);
  await settled();
  assert.deepEqual(shown, []);
});

test("the default pause is a quarter of a second", async () => {
  const real = globalThis.setTimeout;
  const waits = [];
  globalThis.setTimeout = (work, wait) => waits.push(wait);
  try {
    debounceRequest(async () => {}, () => {})();
  } finally {
    globalThis.setTimeout = real;
  }
  assert.deepEqual([waits, PAUSE], [[PAUSE], 250]);
});
