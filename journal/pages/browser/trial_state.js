// A trial on a form: the values of its fields, and the values to send.

import { _, inSentence } from "./texts.js";

const SUBJECTS = ["question", "habit", "outcome", "lag", "from", "days", "block", "washout"];

// The values of a new trial, as typed. `pair` is a habit and a lag that a link of the page has named.
export function typedTrial({ proposal, habits, outcomes }, pair = null) {
  const typed = Object.fromEntries(SUBJECTS.map((name) => [name, String(proposal[name])]));
  if (!pair) return typed;
  if (habits.some(({ key }) => key === pair.habit)) typed.habit = pair.habit;
  if (outcomes.some(({ key }) => key === pair.outcome)) typed.outcome = pair.outcome;
  if (["0", "1"].includes(pair.lag)) typed.lag = pair.lag;
  return typed;
}

// A pair in an address or a link: "walk,mood,1".
export function parsePair(text) {
  const [habit, outcome, lag] = (text || "").split(",");
  return habit && outcome ? { habit, outcome, lag: lag || "1" } : null;
}

// The question that is proposed while none is typed: "Does Read change mood the day after?"
export function proposedQuestion({ habits, outcomes }, { habit, outcome, lag }) {
  const name = habits.find(({ key }) => key === habit)?.name ?? "";
  const looked = outcomes.find(({ key }) => key === outcome)?.name ?? "";
  if (!name || !looked) return "";
  const words = { habit: name, outcome: inSentence(looked) };
  return lag === "0" ? _("Does “{habit}” change {outcome} the same day?", words) : _("Does “{habit}” change {outcome} the day after?", words);
}

const whole = (text) => (/^\s*\d+\s*$/.test(text) ? Number(text) : text.trim());

// The plan as it is sent. Without a question of her own, the proposed one is asked.
export function sentPlan(offer, typed) {
  const [days, block, washout, lag] = [typed.days, typed.block, typed.washout, typed.lag].map(whole);
  return { ...typed, base: offer.base, question: typed.question.trim() || proposedQuestion(offer, typed), days, block, washout, lag };
}

// What is the same in two plans is what their length was computed for.
export const samePlan = (one, other) => SUBJECTS.every((name) => String(one[name]) === String(other[name]));
