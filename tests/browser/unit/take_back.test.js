import assert from "node:assert/strict";
import { test } from "node:test";

import { placeName } from "../../../journal/pages/browser/take_back.js";

test("a place that was changed elsewhere has a name that a person knows", () => {
  const name = (field) => placeName({ field, file: "2025/2025-03-13.toml" });
  assert.deepEqual(
    ["mood", "memory", "tasks.Quote 2025-03-11", "reflection.What may go?", "habits.walk", "hours.planned.sleep", "prompts.week", "decision_dates.walk"].map(name),
    ["Mood", "Memory", "Task: Quote 2025-03-11", "Answer: What may go?", "Habit: walk", "Hours: planned.sleep", "Prompts: week", "Decision dates: walk"],
  );
  assert.equal(name(""), "2025/2025-03-13.toml");
});
