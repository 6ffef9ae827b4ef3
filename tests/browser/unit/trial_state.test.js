import assert from "node:assert/strict";
import { test } from "node:test";

import { otherwiseText } from "../../../journal/pages/browser/mark_states.js";
import { parsePair, proposedQuestion, samePlan, sentPlan, typedTrial } from "../../../journal/pages/browser/trial_state.js";

const OFFER = {
  base: "b",
  habits: [{ key: "walk", name: "Walk" }, { key: "read", name: "Read" }],
  outcomes: [{ key: "mood", name: "Mood" }, { key: "sleep", name: "Minutes of sleep" }],
  proposal: { question: "", habit: "walk", outcome: "mood", lag: 1, from: "2025-03-14", days: 60, block: 2, washout: 0 },
};

test("a new trial starts from the proposal, or from the pair that a link names", () => {
  assert.equal(typedTrial(OFFER).habit, "walk");
  assert.deepEqual(typedTrial(OFFER, parsePair("read,sleep,0")), { ...typedTrial(OFFER), habit: "read", outcome: "sleep", lag: "0" });
});

test("a pair with a habit that is not offered leaves the proposal", () => {
  assert.equal(typedTrial(OFFER, parsePair("gone,mood,1")).habit, "walk");
  assert.equal(typedTrial(OFFER, parsePair("read,gone,7")).outcome, "mood");
  for (const text of ["", null, "walk"]) assert.equal(parsePair(text), null);
});

test("without a question of her own the proposed one is sent, and counts as numbers", () => {
  const sent = sentPlan(OFFER, { ...typedTrial(OFFER), days: " 40 ", block: "x" });
  assert.equal(sent.question, "Does “Walk” change mood the day after?");
  assert.deepEqual([sent.days, sent.block, sent.washout, sent.lag, sent.base], [40, "x", 0, 1, "b"]);
  assert.equal(sentPlan(OFFER, { ...typedTrial(OFFER), question: " Mine? " }).question, "Mine?");
  assert.equal(proposedQuestion(OFFER, { habit: "gone", outcome: "mood", lag: "1" }), "");
});

test("a plan that was typed on is another", () => {
  const typed = typedTrial(OFFER);
  assert.ok(samePlan(sentPlan(OFFER, typed), sentPlan(OFFER, { ...typed })));
  assert.ok(!samePlan(sentPlan(OFFER, typed), sentPlan(OFFER, { ...typed, days: "61" })));
});

test("a mark that is not as drawn says how the day counts", () => {
  const lot = { arm: "on", said: "drawn", otherwise: "counts as drawn" };
  const walk = { kind: "plain", target: null, lot };
  const said = [null, true, false, "rest"].map((mark) => otherwiseText(walk, mark));
  assert.deepEqual(said, ["", "", "counts as drawn", ""]);
  assert.equal(otherwiseText({ ...walk, lot: { ...lot, arm: "off" } }, true), "counts as drawn");
  assert.equal(otherwiseText({ ...walk, kind: "counted", target: 20, aim: "at least" }, 7), "counts as drawn");
  assert.equal(otherwiseText({ ...walk, lot: null }, true), "");
});
