// A schedule on a form: its values as typed, the values to send, and the fields that a pattern uses.

import { number } from "./day_fields.js";
import { _, _n, N_, language } from "./texts.js";

const WEEKDAY_CODES = ["MO", "TU", "WE", "TH", "FR", "SA", "SU"];
export const ORDINALS = [[1, N_("first")], [2, N_("second")], [3, N_("third")], [4, N_("fourth")], [5, N_("fifth")], [-1, N_("last")]];

// Name, text for `_` and fields of each pattern, in the order of the list. `every` is the period of its interval.
const PATTERNS = [
  { name: "day", text: N_("every day"), fields: [] },
  { name: "weekdays", text: N_("on days of the week"), fields: ["interval", "weekdays"], every: "week" },
  { name: "days", text: N_("every few days"), fields: ["interval"], every: "day" },
  { name: "quota", text: N_("a number of times, on any days"), fields: ["times", "per"] },
  { name: "month days", text: N_("on days of the month"), fields: ["interval", "month_days", "last_day"], every: "month" },
  { name: "month weekdays", text: N_("on weekdays of the month"), fields: ["interval", "ordinals", "weekdays"], every: "month" },
  { name: "year", text: N_("on a day of the year"), fields: ["interval", "month_days", "month"], every: "year" },
];

// The patterns to choose from. A quota is for habits only. A rule that no pattern expresses can be kept, not made:
// `otherWords` is its text, for a schedule that has one.
export function patterns({ quota, otherWords }) {
  const offered = PATTERNS.filter(({ name }) => quota || name !== "quota").map((pattern) => ({ ...pattern, text: _(pattern.text) }));
  return otherWords ? [...offered, { name: "other", text: otherWords, fields: [] }] : offered;
}

export const fieldsOf = (pattern) => PATTERNS.find(({ name }) => name === pattern)?.fields ?? [];
export const patternName = (pattern) => _(PATTERNS.find(({ name }) => name === pattern).text);
export const everyNoun = (pattern) => PATTERNS.find(({ name }) => name === pattern)?.every ?? "";

// The noun of an interval, as it stands behind a number.
export function periodNoun(period, count) {
  if (period === "day") return _n("day", "days", count);
  if (period === "week") return _n("week", "weeks", count);
  return period === "month" ? _n("month", "months", count) : _n("year", "years", count);
}

// "every 2 weeks".
export function intervalText({ pattern, interval }) {
  const count = Number(interval);
  const period = everyNoun(pattern);
  if (period === "day") return _n("every {count} day", "every {count} days", count);
  if (period === "week") return _n("every {count} week", "every {count} weeks", count);
  return period === "month" ? _n("every {count} month", "every {count} months", count) : _n("every {count} year", "every {count} years", count);
}

// The weekdays from the first day of the journal's week on.
export function weekdaysFrom(first) {
  const start = Math.max(0, WEEKDAY_CODES.indexOf(first));
  const named = WEEKDAY_CODES.map((code, place) => [code, language().weekdays[place]]);
  return [...named.slice(start), ...named.slice(0, start)];
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
