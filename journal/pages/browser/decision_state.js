// A decision about a habit: what a panel starts from, and what is sent.

import { number } from "./day_fields.js";
import { sentSchedule, typedSchedule } from "./schedule_state.js";
import { _, N_, numberText } from "./texts.js";

// Key, name for `_` and what a press does: "keep" decides at once, the others open a panel.
export const CHOICES = [
  { what: "keep", name: N_("Keep") },
  { what: "change", name: N_("Change") },
  { what: "rest", name: N_("Rest") },
  { what: "drop", name: N_("Drop") },
];

const text = (value) => (value === null || value === undefined ? "" : typeof value === "number" ? numberText(value) : String(value));

// The values of a panel, as typed, from the days and the definition that the row proposes.
export function proposedValues(what, row) {
  if (what === "rest") return { from: row.rest_from, until: row.rest_until };
  if (what === "drop") return { until: row.last };
  if (what !== "change") return {};
  const { first, schedule, target, unit, aim } = row.proposal;
  return { from: first, schedule: typedSchedule(schedule), target: text(target), unit, aim };
}

// The values of a change that the row has ready.
export function readyValues(row, { schedule, target }) {
  return { ...proposedValues("change", row), schedule: typedSchedule(schedule), target: text(target) };
}

export function sentDecision(offer, row, what, typed) {
  const sent = { base: offer.base, period: offer.period, habit: row.key, what, ...typed };
  if (what !== "change") return sent;
  return { ...sent, schedule: sentSchedule(typed.schedule), target: number(typed.target), unit: typed.unit.trim() };
}

// How many of the habits are decided on.
export function howMany(habits) {
  const decided = habits.filter(({ decision }) => decision).length;
  return decided === habits.length && decided ? _("all are decided") : _("{decided} of {count} decided", { decided, count: habits.length });
}

// What stands below the heading: why nothing can be decided, or how many are, and what a late decision does.
export function hintOf({ closed, late, habits }) {
  if (closed) return closed;
  if (!habits.length) return "";
  const count = howMany(habits);
  const then = late || _("Each choice is saved at once, and can be taken back.");
  return `${count[0].toUpperCase()}${count.slice(1)}. ${then}`;
}

// The rows to show: those of the grid in its order, each with its decision, then habits that are not in the grid.
export function gridRows({ grid, habits }) {
  const rows = grid.rows.map((numbers) => ({ key: numbers.key, numbers, row: habits.find(({ key }) => key === numbers.key) }));
  const others = habits.filter(({ key }) => !grid.rows.some((numbers) => numbers.key === key));
  return [...rows, ...others.map((row) => ({ key: row.key, numbers: null, row }))];
}
