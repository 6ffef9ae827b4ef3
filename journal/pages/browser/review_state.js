// A review as it stands on the page: made from an offer, turned into what is sent, and compared. Plain data.
//
// A question is a prompt with its answer. `was` and `saved` are what the files say, `prompt` and `answer` what is typed.
// `asked` is whether the prompt is among those that are asked. A saved answer keeps the prompt that it was written to.

import { same } from "./form_state.js";

export const oneLine = (text) => text.split(/\s+/).filter(Boolean).join(" ");
const filled = (lines) => lines.map((line) => line.trim()).filter(Boolean);

export function fromReviewOffer(offer) {
  const questions = offer.questions.map(({ ref, prompt, answer, asked }) => ({ key: ref, was: prompt, saved: answer, prompt, answer, asked }));
  return { questions, notes: [...offer.notes] };
}

// A prompt that is added. `taken` are the questions there are. No prompt begins with a blank, so no key is one of theirs.
export function newQuestion(prompt, taken) {
  let number = taken.length;
  while (taken.some((one) => one.key === ` new ${number}`)) number += 1;
  return { key: ` new ${number}`, was: null, saved: "", prompt, answer: "", asked: true };
}

// The prompt above the field of an answer.
export function promptOf({ was, saved, prompt, asked }) {
  if (was === null || (asked && !saved)) return oneLine(prompt) || was || "";
  return was;
}

// The questions that have a field: those that are asked, and those that have or had an answer.
export function shownQuestions({ questions }) {
  return questions.filter((one) => promptOf(one) && ((one.asked && oneLine(one.prompt)) || one.saved || one.answer.trim()));
}

// What nobody touched is as the file has it: the browser takes more characters for blanks than the journal does.
const untouched = (typed, was, clean) => (typed === was ? was : clean(typed));
const answerOf = (one) => untouched(one.answer, one.saved, (text) => text.trim());

export const askedPrompts = ({ questions }) => questions.filter((one) => one.asked).map((one) => untouched(one.prompt, one.was, oneLine)).filter(Boolean);

export function enteredReview(offer, now) {
  return {
    base: offer.base,
    period: offer.period,
    prompts: askedPrompts(now),
    answers: shownQuestions(now).map((one) => ({ ref: one.was === null ? null : one.key, prompt: promptOf(one), answer: answerOf(one) })),
    notes: same(now.notes, offer.notes) ? offer.notes : filled(now.notes),
  };
}

const content = (now) => ({
  prompts: askedPrompts(now),
  answers: Object.fromEntries(now.questions.map((one) => [one.key, one.answer.trim()]).filter(([, answer]) => answer)),
  notes: filled(now.notes),
});

// Whether the page says anything that its offer does not.
export const isReviewChanged = (offer, now) => !same(content(now), content(fromReviewOffer(offer)));

// Whether two offers of a period show the same. Their bases may differ.
export const showsSame = (one, other) => same({ ...one, base: "" }, { ...other, base: "" });

// Where on the page a problem belongs: prompts are sent without the empty ones, and stand among them.
export function reviewPlace(field, now) {
  const [kind, at] = field.split(".");
  if (kind === "answers") return `answers.${at}`;
  if (kind !== "prompts" || at === undefined) return field;
  const rows = now.questions.filter((one) => one.asked);
  const place = [...rows.keys()].filter((row) => oneLine(rows[row].prompt))[Number(at)];
  return `prompts.${place}`;
}
