// A merge of three for a review: what was typed (`now`), the offer it was begun from, and a newer offer of the same
// period. What only one side changed is that side's. Where both did, what was typed stays and a conflict has both.

import { same } from "./form_state.js";
import { askedPrompts, fromReviewOffer, newQuestion, oneLine, promptOf } from "./review_state.js";
import { _ } from "./texts.js";

const copy = (value) => JSON.parse(JSON.stringify(value));
const asPrompt = (one) => oneLine(one.prompt);

export function mergeReview(old, offer, now) {
  const before = fromReviewOffer(old);
  const after = fromReviewOffer(offer);
  const conflicts = [];
  const settle = (field, name, [was, is, mine], put) => {
    if (same(mine, was) || same(mine, is)) return;
    put(mine);
    if (!same(was, is)) conflicts.push({ field, name, yours: mine, theirs: is, take: put, canKeepBoth: true });
  };
  const questions = after.questions.map(copy);
  const result = { questions, notes: after.notes };
  for (const mine of now.questions) {
    const was = before.questions.find((one) => one.key === mine.key)?.answer ?? "";
    let there = sameQuestion(mine, questions, now.questions);
    if (!there && (mine.answer === was || !mine.answer.trim())) continue; // it is gone there, and nothing was typed
    if (!there) {
      there = { ...copy(mine), was: mine.was ?? asPrompt(mine), saved: "", answer: "", asked: false };
      questions.push(there);
    }
    settle(`answers.${there.key}`, promptOf(mine), [was, there.answer, mine.answer], (value) => { there.answer = value; });
  }
  settle("prompts", _("Prompts"), [before, after, now].map(askedPrompts), (prompts) => ask(result, prompts, now.questions));
  settle("notes", _("Notes"), [before.notes, after.notes, now.notes].map(filled), (notes) => { result.notes = notes; });
  return { now: result, conflicts };
}

const filled = (lines) => lines.map((line) => line.trim()).filter(Boolean);

// The question of a newer offer that is this one: of its key, or, where its prompt was new, of its words.
function sameQuestion(mine, questions, typed) {
  const found = questions.find((one) => one.key === mine.key);
  if (found) return found;
  return questions.find((one) => one.key === promptOf(mine) && !typed.some((other) => other.key === one.key));
}

// Lets some prompts be asked, in their order, and no others. A question that was reworded keeps what is typed in it.
// The questions stay the same objects, since conflicts write to them.
function ask(result, prompts, typed) {
  const left = [...result.questions];
  const take = (found) => found && left.splice(left.indexOf(found), 1)[0];
  const asked = [];
  for (const prompt of prompts) {
    const own = typed.find((one) => one.asked && asPrompt(one) === prompt);
    const there = take(left.find((one) => one.was !== null && oneLine(one.was) === prompt)) ?? take(left.find((one) => own && one.key === own.key));
    asked.push(Object.assign(there ?? newQuestion(prompt, [...typed, ...result.questions, ...asked]), { prompt, asked: true }));
  }
  for (const one of left) Object.assign(one, { prompt: one.was ?? one.prompt, asked: false });
  result.questions.splice(0, result.questions.length, ...asked, ...left.filter((one) => one.answer.trim() || one.saved));
}
