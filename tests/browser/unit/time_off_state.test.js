import assert from "node:assert/strict";
import { test } from "node:test";

import { habitChoices, newTimeOff, sentTimeOff, toggledHabit, typedTimeOff } from "../../../journal/pages/browser/time_off_state.js";

const OFFER = { base: "base-1", today: "2025-03-13", habits: [{ key: "walk", name: "Walk" }, { key: "read", name: "Read" }] };
const FLU = { ref: "2025-03-11", first: "2025-03-11", until: "2025-03-16", habits: ["walk", "old"], reason: "flu" };

test("a new one is of today, for all habits", () => {
  const rest = newTimeOff(OFFER);
  assert.deepEqual(sentTimeOff(OFFER, rest, "add", typedTimeOff(rest)), { base: "base-1", what: "add", ref: null, from: "2025-03-13", until: "2025-03-13", habits: [], reason: "" });
});

test("an untouched one is sent as it is; back and remove send no values", () => {
  assert.deepEqual(sentTimeOff(OFFER, FLU, "edit", { ...typedTimeOff(FLU), reason: " flu " }), { base: "base-1", what: "edit", ref: "2025-03-11", from: "2025-03-11", until: "2025-03-16", habits: ["walk", "old"], reason: "flu" });
  assert.deepEqual(sentTimeOff(OFFER, FLU, "back"), { base: "base-1", what: "back", ref: "2025-03-11" });
});

test("a habit that is no longer offered can still be chosen", () => {
  assert.deepEqual(habitChoices(OFFER, FLU).map(({ key }) => key), ["walk", "read", "old"]);
});

test("all habits are chosen by choosing none", () => {
  assert.deepEqual(toggledHabit(["walk"], "read"), ["walk", "read"]);
  assert.deepEqual(toggledHabit(["walk"], "walk"), []);
  assert.deepEqual(toggledHabit(["walk", "read"], null), []);
});
