// The state of a counted habit's mark: "done", "partial", "missed", "rest", or "" without a valid mark.

import { _, numberText } from "./texts.js";
export function markState(habit, mark) {
  if (mark === "rest") return "rest";
  if (mark === null || mark === "") return "";
  if (typeof mark === "boolean") return mark ? "done" : "missed";
  const amount = Number(String(mark).replace(",", "."));
  if (Number.isNaN(amount)) return "";
  if (habit.target === null) return amount > 0 ? "done" : "missed";
  if (habit.aim === "at most") return amount <= habit.target ? "done" : "missed";
  if (amount >= habit.target) return "done";
  return amount > 0 ? "partial" : "missed";
}

export function markSentence(habit, mark) {
  const state = habit.kind === "counted" ? markState(habit, mark) : { true: "done", false: "missed", rest: "rest" }[String(mark)] || "";
  const key = { done: "done", partial: "partial", missed: "not", rest: "rest" }[state] || "none";
  return habit.said[key] ?? habit.said.not ?? "";
}

// What is said beside a mark that is not as a trial has drawn it.
export function otherwiseText({ lot, ...habit }, mark) {
  if (!lot) return "";
  const state = habit.kind === "counted" ? markState(habit, mark) : { true: "done", false: "missed" }[String(mark)] || "";
  const isDone = state === "done";
  const isAsDrawn = !["done", "missed", "partial"].includes(state) || isDone === (lot.arm === "on");
  return isAsDrawn ? "" : lot.otherwise;
}

// The target of a habit, shown beside its count: "of 20 pages", "at most 2 cups", or the unit alone.
export function aimText(habit) {
  if (habit.target === null) return habit.unit || "";
  const words = { target: numberText(habit.target), unit: habit.unit || "" };
  return (habit.aim === "at most" ? _("at most {target} {unit}", words) : _("of {target} {unit}", words)).trim();
}

// The text beside a challenge: that of the offer while its tick is unchanged.
export function tickSentence(challenge, ticked) {
  const changed = ticked ? challenge.said_ticked : challenge.said_not;
  return (ticked === challenge.ticked ? challenge.said : changed) ?? challenge.said;
}
