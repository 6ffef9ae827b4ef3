import assert from "node:assert/strict";
import { test } from "node:test";

import { askedPrompts, enteredReview, fromReviewOffer, isReviewChanged, newQuestion, oneLine, promptOf, reviewPlace, shownQuestions, showsSame } from "../../../journal/pages/browser/review_state.js";
import { review } from "./offers.js";

const labels = (now) => shownQuestions(now).map(promptOf);

test("a prompt is one line without blanks around it", () => {
  assert.equal(oneLine("  What held,\n and why? "), "What held, and why?");
});

test("nothing touched is nothing changed, and is sent as it is", () => {
  const offer = review({ "Held?": "The letters.", "Next?": "" }, { "Old?": "Kept." }, { notes: ["Thread."] });
  const now = fromReviewOffer(offer);
  assert.equal(isReviewChanged(offer, now), false);
  assert.deepEqual(enteredReview(offer, now), {
    base: "base",
    period: "2025-W11",
    prompts: ["Held?", "Next?"],
    answers: [
      { ref: "Held?", prompt: "Held?", answer: "The letters." },
      { ref: "Next?", prompt: "Next?", answer: "" },
      { ref: "Old?", prompt: "Old?", answer: "Kept." },
    ],
    notes: ["Thread."],
  });
});

test("blanks and empty rows are no change, and are not sent", () => {
  const offer = review({ "Held?": "" });
  const now = fromReviewOffer(offer);
  now.questions[0].answer = " \n";
  now.notes.push("");
  now.questions.push(newQuestion(" ", now.questions));
  assert.equal(isReviewChanged(offer, now), false);
  assert.deepEqual(enteredReview(offer, now).prompts, ["Held?"]);
  assert.deepEqual(enteredReview(offer, now).answers.map((one) => one.answer), [""]);
});

test("an answer, a note or a prompt is a change", () => {
  const offer = review({ "Held?": "", "Next?": "" });
  const changed = (change) => {
    const now = fromReviewOffer(offer);
    change(now);
    return isReviewChanged(offer, now);
  };
  assert.ok(changed((now) => { now.questions[0].answer = "Yes."; }));
  assert.ok(changed((now) => now.notes.push("Thread.")));
  assert.ok(changed((now) => { now.questions[0].prompt = "Held up?"; }));
  assert.ok(changed((now) => now.questions.reverse()));
});

test("an unanswered prompt that is reworded has the new words above its field, and sends them", () => {
  const offer = review({ "Held?": "" });
  const now = fromReviewOffer(offer);
  Object.assign(now.questions[0], { prompt: " Held up? ", answer: "Yes." });
  assert.deepEqual(labels(now), ["Held up?"]);
  assert.deepEqual(enteredReview(offer, now).answers, [{ ref: "Held?", prompt: "Held up?", answer: "Yes." }]);
});

test("a saved answer keeps its prompt, whatever is asked from now on", () => {
  const now = fromReviewOffer(review({ "Held?": "The letters." }));
  now.questions[0].prompt = "Held up?";
  assert.deepEqual(labels(now), ["Held?"]);
  assert.deepEqual(askedPrompts(now), ["Held up?"]);
});

test("a prompt taken out goes with its field, unless something is written or typed in it", () => {
  const now = fromReviewOffer(review({ "Held?": "The letters.", "May go?": "", "Next?": "" }));
  now.questions[2].answer = "Typed.";
  for (const one of now.questions) one.asked = false;
  assert.deepEqual(labels(now), ["Held?", "Next?"]);
  now.questions[0].answer = "";
  assert.deepEqual(labels(now), ["Held?", "Next?"], "so that the field does not vanish while it is emptied");
});

test("a new prompt has a field once it has words, and no ref", () => {
  const offer = review({ "Held?": "" });
  const now = fromReviewOffer(offer);
  now.questions.push(newQuestion("", now.questions));
  now.questions.push(newQuestion("Whom to thank?", now.questions));
  now.questions[2].answer = "Bojan.";
  assert.equal(new Set(now.questions.map((one) => one.key)).size, 3);
  assert.deepEqual(labels(now), ["Held?", "Whom to thank?"]);
  assert.deepEqual(enteredReview(offer, now).answers[1], { ref: null, prompt: "Whom to thank?", answer: "Bojan." });
});

test("offers that differ in their base alone show the same", () => {
  const offer = review({ "Held?": "" });
  assert.ok(showsSame(offer, { ...offer, base: "other" }));
  assert.equal(showsSame(offer, review({ "Held?": "Yes." })), false);
});

test("a problem has its place: answers by their field, prompts without the empty ones", () => {
  const now = fromReviewOffer(review({ "Held?": "", "Next?": "" }));
  now.questions[0].prompt = "";
  assert.equal(reviewPlace("answers.1.answer", now), "answers.1");
  assert.equal(reviewPlace("prompts.0", now), "prompts.1");
  assert.equal(reviewPlace("prompts", now), "prompts");
  assert.equal(reviewPlace("notes.0", now), "notes.0");
  assert.equal(reviewPlace("", now), "");
});
