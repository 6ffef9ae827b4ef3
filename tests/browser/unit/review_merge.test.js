import assert from "node:assert/strict";
import { test } from "node:test";

import { mergeReview } from "../../../journal/pages/browser/review_merge.js";
import { askedPrompts, enteredReview, fromReviewOffer, isReviewChanged, newQuestion } from "../../../journal/pages/browser/review_state.js";
import { review } from "./offers.js";

const typed = (offer, answers = {}, notes = offer.notes) => {
  const now = fromReviewOffer(offer);
  for (const one of now.questions) one.answer = answers[one.key] ?? one.answer;
  return { ...now, notes };
};
const answersOf = (offer, now) => Object.fromEntries(enteredReview(offer, now).answers.map((one) => [one.prompt, one.answer]));
const told = (conflicts) => conflicts.map(({ name, yours, theirs }) => [name, yours, theirs]);

const OLD = review({ "Held?": "The letters.", "Next?": "" }, {}, { notes: ["Thread."] });

test("what one side changed is taken from it", () => {
  const offer = review({ "Held?": "The letters.", "Next?": "Rest." }, {}, { notes: ["Thread."] });
  const { now, conflicts } = mergeReview(OLD, offer, typed(OLD, { "Held?": "All letters." }, ["Thread.", "Glue."]));
  assert.deepEqual(conflicts, []);
  assert.deepEqual(answersOf(offer, now), { "Held?": "All letters.", "Next?": "Rest." });
  assert.deepEqual(now.notes, ["Thread.", "Glue."]);
});

test("what both changed to the same is no conflict", () => {
  const offer = review({ "Held?": "The letters.", "Next?": "Rest." }, {}, { notes: ["Thread."] });
  const { now, conflicts } = mergeReview(OLD, offer, typed(OLD, { "Next?": "Rest." }));
  assert.deepEqual(conflicts, []);
  assert.equal(isReviewChanged(offer, now), false);
});

test("what both changed stays as it was typed, with the other beside it to take", () => {
  const offer = review({ "Held?": "Theirs.", "Next?": "" }, {}, { notes: ["Theirs."] });
  const { now, conflicts } = mergeReview(OLD, offer, typed(OLD, { "Held?": "Mine." }, ["Mine."]));
  assert.deepEqual(told(conflicts), [["Held?", "Mine.", "Theirs."], ["Notes", ["Mine."], ["Theirs."]]]);
  assert.equal(answersOf(offer, now)["Held?"], "Mine.");
  for (const one of conflicts) one.take(one.theirs);
  assert.equal(isReviewChanged(offer, now), false);
});

test("an answer that was emptied elsewhere goes, and is asked about where it was changed here", () => {
  const offer = review({ "Held?": "", "Next?": "" }, {}, { notes: ["Thread."] });
  assert.equal(isReviewChanged(offer, mergeReview(OLD, offer, typed(OLD)).now), false);
  const { now, conflicts } = mergeReview(OLD, offer, typed(OLD, { "Held?": "Mine." }));
  assert.deepEqual(told(conflicts), [["Held?", "Mine.", ""]]);
  assert.equal(answersOf(offer, now)["Held?"], "Mine.");
});

test("what was typed to a prompt that is no longer asked keeps its field", () => {
  const offer = review({ "Held?": "The letters." }, {}, { notes: ["Thread."] });
  const { now, conflicts } = mergeReview(OLD, offer, typed(OLD, { "Next?": "Rest." }));
  assert.deepEqual(conflicts, []);
  assert.deepEqual(askedPrompts(now), ["Held?"]);
  assert.deepEqual(answersOf(offer, now), { "Held?": "The letters.", "Next?": "Rest." });
});

test("an unasked answer that went from the file goes here, and is asked about where it was changed", () => {
  const old = review({}, { "Old?": "Kept." });
  assert.deepEqual(mergeReview(old, review({}), typed(old)).now.questions, []);
  const { now, conflicts } = mergeReview(old, review({}), typed(old, { "Old?": "Mine." }));
  assert.deepEqual(told(conflicts), [["Old?", "Mine.", ""]]);
  assert.deepEqual(answersOf(review({}), now), { "Old?": "Mine." });
});

test("prompts changed here stay beside an answer that was written there", () => {
  const mine = typed(OLD, { "Next?": "Rest." });
  mine.questions[1].prompt = "And now?";
  mine.questions.push(newQuestion("Whom to thank?", mine.questions));
  mine.questions[2].answer = "Bojan.";
  const offer = review({ "Held?": "All letters.", "Next?": "" }, {}, { notes: ["Thread."] });
  const { now, conflicts } = mergeReview(OLD, offer, mine);
  assert.deepEqual(conflicts, []);
  assert.deepEqual(askedPrompts(now), ["Held?", "And now?", "Whom to thank?"]);
  assert.deepEqual(answersOf(offer, now), { "Held?": "All letters.", "And now?": "Rest.", "Whom to thank?": "Bojan." });
});

test("prompts that both changed are asked about as one, and taking the file's keeps what is typed", () => {
  const mine = typed(OLD);
  mine.questions.push(newQuestion("Mine?", mine.questions));
  mine.questions[2].answer = "Typed.";
  const offer = review({ "Held?": "The letters.", "Theirs?": "" }, {}, { notes: ["Thread."] });
  const { now, conflicts } = mergeReview(OLD, offer, mine);
  assert.deepEqual(told(conflicts), [["Prompts", ["Held?", "Next?", "Mine?"], ["Held?", "Theirs?"]]]);
  assert.deepEqual(askedPrompts(now), ["Held?", "Next?", "Mine?"]);
  conflicts[0].take(["Held?", "Theirs?", "Next?", "Mine?"]);
  assert.deepEqual(askedPrompts(now), ["Held?", "Theirs?", "Next?", "Mine?"]);
  assert.equal(new Set(now.questions.map((one) => one.key)).size, now.questions.length);
  conflicts[0].take(["Held?", "Theirs?"]);
  assert.deepEqual(askedPrompts(now), ["Held?", "Theirs?"]);
  assert.deepEqual(answersOf(offer, now), { "Held?": "The letters.", "Theirs?": "", "Mine?": "Typed." });
});

test("a conflict of an answer is settled after the prompts were", () => {
  const mine = typed(OLD, { "Next?": "Mine." });
  mine.questions.reverse();
  const offer = review({ "Held?": "The letters.", "Next?": "Theirs." }, {}, { notes: ["Thread."] });
  const { now, conflicts } = mergeReview(OLD, offer, mine);
  assert.deepEqual(askedPrompts(now), ["Next?", "Held?"]);
  conflicts[0].take("Theirs.");
  assert.equal(answersOf(offer, now)["Next?"], "Theirs.");
});

test("what was typed while a reworded and a new prompt were saved goes over to them", () => {
  const sent = typed(OLD, { "Next?": "Rest." });
  sent.questions[1].prompt = "And now?";
  sent.questions.push(newQuestion("Mine?", sent.questions));
  sent.questions[1].answer = "Rest, and more.";
  sent.questions[2].answer = "Typed.";
  const after = review({ "Held?": "The letters.", "And now?": "Rest.", "Mine?": "" }, {}, { notes: ["Thread."] });
  const { now } = mergeReview(OLD, after, sent);
  assert.deepEqual(askedPrompts(now), ["Held?", "And now?", "Mine?"]);
  assert.deepEqual(answersOf(after, now), { "Held?": "The letters.", "And now?": "Rest, and more.", "Mine?": "Typed." });
});

test("the offer and what was typed stay as they were", () => {
  const [old, offer] = [structuredClone(OLD), review({ "Held?": "Theirs.", "Next?": "" })];
  const mine = typed(OLD, { "Held?": "Mine." });
  const before = structuredClone(mine);
  mergeReview(old, offer, mine).conflicts.forEach((one) => one.take(one.theirs));
  assert.deepEqual([old, mine], [OLD, before]);
});
