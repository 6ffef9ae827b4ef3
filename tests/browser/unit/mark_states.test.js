import assert from "node:assert/strict";
import { test } from "node:test";

import { aimText, markSentence, markState, tickSentence } from "../../../journal/pages/browser/mark_states.js";

const habit = (change = {}) => ({ kind: "counted", target: 20, aim: "at least", unit: "pages", said: { done: "D", partial: "P", not: "N", rest: "R", none: "0" }, ...change });

test("a count against a target to reach", () => {
  for (const [mark, state] of [["20", "done"], ["20,5", "done"], ["19.9", "partial"], ["0", "missed"], [25, "done"]]) assert.equal(markState(habit(), mark), state, String(mark));
});

test("a count against a limit is kept or not, never in part", () => {
  for (const [mark, state] of [["20", "done"], ["0", "done"], ["20.1", "missed"]]) assert.equal(markState(habit({ aim: "at most" }), mark), state, mark);
});

test("a count without a target is done from the first on", () => {
  for (const [mark, state] of [["1", "done"], ["0", "missed"]]) assert.equal(markState(habit({ target: null }), mark), state);
});

test("marks that are not a count", () => {
  for (const [mark, state] of [["rest", "rest"], [null, ""], ["", ""], [true, "done"], [false, "missed"], ["many", ""]]) assert.equal(markState(habit(), mark), state, String(mark));
});

test("the sentence of a count", () => {
  for (const [mark, sentence] of [["20", "D"], ["5", "P"], ["0", "N"], ["rest", "R"], [null, "0"], ["many", "0"]]) assert.equal(markSentence(habit(), mark), sentence, String(mark));
});

test("the sentence of a plain habit", () => {
  for (const [mark, sentence] of [[true, "D"], [false, "N"], ["rest", "R"], [null, "0"]]) assert.equal(markSentence(habit({ kind: "plain" }), mark), sentence, String(mark));
});

test("a state without a sentence has that of a miss, or none", () => {
  assert.equal(markSentence(habit({ said: { not: "N" } }), "20"), "N");
  assert.equal(markSentence(habit({ said: {} }), "20"), "");
});

test("the target of a habit", () => {
  assert.equal(aimText(habit()), "of 20 pages");
  assert.equal(aimText(habit({ aim: "at most", unit: null })), "at most 20");
  assert.equal(aimText(habit({ target: null })), "pages");
  assert.equal(aimText(habit({ target: null, unit: null })), "");
});

test("the sentence of a challenge", () => {
  const challenge = { ticked: null, said: "as it was", said_ticked: "ticked", said_not: "not" };
  assert.equal(tickSentence(challenge, null), "as it was");
  assert.equal(tickSentence(challenge, true), "ticked");
  assert.equal(tickSentence(challenge, "2025-03-16"), "ticked");
  assert.equal(tickSentence(challenge, false), "not");
  assert.equal(tickSentence({ ...challenge, said_ticked: null }, true), "as it was");
});
