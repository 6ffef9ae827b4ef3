// A schedule on a form: its values as typed, the values to send, and the fields that a pattern uses.

import { number } from "./day_fields.js";

export const WEEKDAYS = [
  ["MO", "Monday"], ["TU", "Tuesday"], ["WE", "Wednesday"], ["TH", "Thursday"], ["FR", "Friday"], ["SA", "Saturday"], ["SU", "Sunday"],
];
export const ORDINALS = [[1, "first"], [2, "second"], [3, "third"], [4, "fourth"], [5, "fifth"], [-1, "last"]];
export const MONTHS = ["January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November", "December"];

// Name, text and fields of each pattern, in the order of the list. `every` is the noun of its interval.
const PATTERNS = [
  { name: "day", text: "every day", fields: [] },
  { name: "weekdays", text: "on days of the week", fields: ["interval", "weekdays"], every: "week" },
  { name: "days", text: "every few days", fields: ["interval"], every: "day" },
  { name: "quota", text: "a number of times, on any days", fields: ["times", "per"] },
  { name: "month days", text: "on days of the month", fields: ["interval", "month_days", "last_day"], every: "month" },
  { name: "month weekdays", text: "on weekdays of the month", fields: ["interval", "ordinals", "weekdays"], every: "month" },
  { name: "year", text: "on a day of the year", fields: ["interval", "month_days", "month"], every: "year" },
];

// The patterns to choose from. A quota is for habits only. A rule that no pattern expresses can be kept, not made:
// `otherWords` is its text, for a schedule that has one.
export function patterns({ quota, otherWords }) {
  const offered = PATTERNS.filter(({ name }) => quota || name !== "quota");
  return otherWords ? [...offered, { name: "other", text: otherWords, fields: [] }] : offered;
}

export const fieldsOf = (pattern) => PATTERNS.find(({ name }) => name === pattern)?.fields ?? [];
export const everyNoun = (pattern) => PATTERNS.find(({ name }) => name === pattern)?.every ?? "";

// The weekdays from the first day of the journal's week on.
export function weekdaysFrom(first) {
  const start = Math.max(0, WEEKDAYS.findIndex(([code]) => code === first));
  return [...WEEKDAYS.slice(start), ...WEEKDAYS.slice(0, start)];
}

const text = (value) => (value === null || value === undefined ? "" : String(value));

export function typedSchedule(fields) {
  return {
    ...fields, interval: text(fields.interval), times: text(fields.times), month: text(fields.month),
    weekdays: [...fields.weekdays], ordinals: [...fields.ordinals], month_days: fields.month_days.join(", "),
  };
}

// The number a pattern starts from when it is chosen: every second day, else every one.
export function chosenPattern(typed, pattern) {
  const least = pattern === "days" ? 2 : 1;
  typed.pattern = pattern;
  if (!(Number(typed.interval) >= least) || least === 1) typed.interval = String(least);
  if (pattern === "quota" && typed.times === "") typed.times = "1";
  if (pattern === "year") typed.month_days = typed.month_days.split(",")[0];
  if (pattern === "year" && typed.month === "") typed.month = "1";
}

// The values to send: those of the pattern, and the rule as it is written in journal.toml.
export function sentSchedule(typed) {
  const sent = { pattern: typed.pattern, rule: typed.rule, weeks_from: typed.weeks_from };
  for (const name of fieldsOf(typed.pattern)) {
    sent[name] = ["interval", "times", "month"].includes(name) ? number(typed[name]) : typed[name];
  }
  return sent;
}
