// A decision about a habit: what a panel starts from, and what is sent.

import { number } from "./day_fields.js";
import { sentSchedule, typedSchedule } from "./schedule_state.js";

// Key, name and what a press does: "keep" decides at once, the others open a panel.
export const CHOICES = [
  { what: "keep", name: "Keep" },
  { what: "change", name: "Change" },
  { what: "rest", name: "Rest" },
  { what: "drop", name: "Drop" },
];

const text = (value) => (value === null || value === undefined ? "" : String(value));

// The values of a panel, as typed, from the days and the definition that the row proposes.
export function proposedValues(what, row) {
  if (what === "rest") return { from: row.rest_from, until: row.rest_until };
  if (what === "drop") return { until: row.last };
  if (what !== "change") return {};
  const { first, schedule, target, unit, aim } = row.proposal;
  return { from: first, schedule: typedSchedule(schedule), target: text(target), unit, aim };
}

export function sentDecision(offer, row, what, typed) {
  const sent = { base: offer.base, period: offer.period, habit: row.key, what, ...typed };
  if (what !== "change") return sent;
  return { ...sent, schedule: sentSchedule(typed.schedule), target: number(typed.target), unit: typed.unit.trim() };
}

// How many of the habits are decided on, as the heading of their rows.
export function howMany(habits) {
  const decided = habits.filter(({ decision }) => decision).length;
  return decided === habits.length && decided ? "All are decided" : `${decided} of ${habits.length} decided`;
}
