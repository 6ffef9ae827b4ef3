import assert from "node:assert/strict";
import { test } from "node:test";

import { gridRows, hintOf, howMany, proposedValues, readyValues, sentDecision } from "../../../journal/pages/browser/decision_state.js";

const SCHEDULE = { pattern: "weekdays", interval: 2, weekdays: ["FR"], ordinals: [], month_days: [], last_day: false, month: null, times: null, per: "week", weeks_from: "MO", rule: "FREQ=WEEKLY;INTERVAL=2" };
const ROW = {
  key: "stock", rest_from: "2025-04-01", rest_until: "2025-04-30", last: "2025-03-31",
  proposal: { first: "2025-04-01", schedule: SCHEDULE, target: 2.5, unit: "rolls", aim: "at least" },
};
const OFFER = { base: "base-1", period: "2025-03" };
const HEAD = { base: "base-1", period: "2025-03", habit: "stock" };

test("a panel starts from the proposal, and an untouched one sends it", () => {
  const sent = (what) => sentDecision(OFFER, ROW, what, proposedValues(what, ROW));
  assert.deepEqual(sent("keep"), { ...HEAD, what: "keep" });
  assert.deepEqual(sent("back"), { ...HEAD, what: "back" });
  assert.deepEqual(sent("rest"), { ...HEAD, what: "rest", from: "2025-04-01", until: "2025-04-30" });
  assert.deepEqual(sent("drop"), { ...HEAD, what: "drop", until: "2025-03-31" });
  assert.deepEqual(sent("change"), {
    ...HEAD, what: "change", from: "2025-04-01", target: 2.5, unit: "rolls", aim: "at least",
    schedule: { pattern: "weekdays", rule: "FREQ=WEEKLY;INTERVAL=2", weeks_from: "MO", interval: 2, weekdays: ["FR"] },
  });
});

test("what is typed in a panel does not change the proposal", () => {
  const typed = proposedValues("change", ROW);
  typed.schedule.weekdays.push("MO");
  typed.target = "";
  assert.deepEqual(proposedValues("change", ROW).schedule.weekdays, ["FR"]);
  assert.equal(sentDecision(OFFER, ROW, "change", typed).target, null);
});

test("a change that is ready is sent whole, from the proposed day", () => {
  const ready = { schedule: { ...SCHEDULE, pattern: "quota", times: 2, per: "month", rule: "" }, target: 1.5 };
  assert.deepEqual(sentDecision(OFFER, ROW, "change", readyValues(ROW, ready)), {
    ...HEAD, what: "change", from: "2025-04-01", target: 1.5, unit: "rolls", aim: "at least",
    schedule: { pattern: "quota", rule: "", weeks_from: "MO", times: 2, per: "month" },
  });
  assert.equal(sentDecision(OFFER, ROW, "change", readyValues(ROW, { ...ready, target: null })).target, null);
});

test("what stands below the heading counts the decided habits", () => {
  assert.equal(howMany([{ decision: "keep" }, { decision: null }]), "1 of 2 decided");
  assert.equal(howMany([{ decision: "keep" }]), "all are decided");
  assert.equal(hintOf({ closed: "", late: "March is over.", habits: [{ decision: "keep" }] }), "All are decided. March is over.");
  assert.equal(hintOf({ closed: "journal.toml: broken", late: "", habits: [] }), "journal.toml: broken");
  assert.equal(hintOf({ closed: "", late: "", habits: [] }), "");
});

test("a row of the grid has its decision, and a habit without marks a row of its own", () => {
  const [walk, read] = [{ key: "walk" }, { key: "read" }];
  const rows = (grid, habits) => gridRows({ grid: { rows: grid }, habits }).map(({ key, numbers, row }) => [key, Boolean(numbers), Boolean(row)]);
  assert.deepEqual(rows([read, walk], [walk, read]), [["read", true, true], ["walk", true, true]]);
  assert.deepEqual(rows([walk], []), [["walk", true, false]]);
  assert.deepEqual(rows([], [walk]), [["walk", false, true]]);
});
