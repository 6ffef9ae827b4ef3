import assert from "node:assert/strict";
import { test } from "node:test";

import { chosenPattern, fieldsOf, patterns, sentSchedule, typedSchedule, weekdaysFrom } from "../../../journal/pages/browser/schedule_state.js";

const FIELDS = { pattern: "day", interval: 1, weekdays: [], ordinals: [], month_days: [], last_day: false, month: null, times: null, per: "week", weeks_from: "MO", rule: "FREQ=DAILY" };
const typedOf = (change) => typedSchedule({ ...FIELDS, ...change });

test("what was offered is sent back where nothing was touched", () => {
  const offered = [
    [{ pattern: "day" }, {}],
    [{ pattern: "weekdays", interval: 2, weekdays: ["MO", "FR"] }, { interval: 2, weekdays: ["MO", "FR"] }],
    [{ pattern: "month days", month_days: [1, 15], last_day: true }, { interval: 1, month_days: "1, 15", last_day: true }],
    [{ pattern: "month weekdays", ordinals: [1, -1], weekdays: ["SU"] }, { interval: 1, ordinals: [1, -1], weekdays: ["SU"] }],
    [{ pattern: "year", month: 3, month_days: [14] }, { interval: 1, month: 3, month_days: "14" }],
    [{ pattern: "quota", times: 3, per: "month", rule: "" }, { times: 3, per: "month" }],
    [{ pattern: "other" }, {}],
  ];
  for (const [fields, sent] of offered) {
    const { pattern, rule = FIELDS.rule } = fields;
    assert.deepEqual(sentSchedule(typedOf(fields)), { pattern, rule, weeks_from: "MO", ...sent }, pattern);
  }
});

test("a number that is none is sent as it was typed", () => {
  const typed = { ...typedOf({ pattern: "days" }), interval: " two " };
  assert.equal(sentSchedule(typed).interval, "two");
  assert.equal(sentSchedule({ ...typed, interval: "" }).interval, null);
});

test("a chosen pattern starts from a number it allows, and keeps the days chosen before", () => {
  const typed = typedOf({ pattern: "weekdays", weekdays: ["TU"] });
  chosenPattern(typed, "days");
  assert.equal(typed.interval, "2");
  chosenPattern(typed, "weekdays");
  assert.deepEqual([typed.interval, typed.weekdays], ["1", ["TU"]]);
  chosenPattern(typed, "quota");
  assert.equal(typed.times, "1");
});

test("the lists: a quota for habits only, and a rule without a pattern only where there is one", () => {
  const names = (options) => patterns(options).map(({ name }) => name);
  assert.ok(!names({ quota: false, otherWords: "" }).includes("quota"));
  assert.ok(!names({ quota: true, otherWords: "" }).includes("other"));
  assert.equal(patterns({ quota: true, otherWords: "every day, 10 times in all" }).at(-1).text, "every day, 10 times in all");
  assert.deepEqual(fieldsOf("other"), []);
});

test("the week starts where the journal's does", () => {
  assert.deepEqual(weekdaysFrom("SU").map(([code]) => code), ["SU", "MO", "TU", "WE", "TH", "FR", "SA"]);
});
