// The marks of a month by habit and day: those of the files, with the changes entered on the page.

// `offer` is a month's offer; `changed` are the entered marks, by habit and day.

import { _, filled, language, numberText } from "./texts.js";
export function monthMarks(offer, changed = {}) {
  const inFiles = (habit, day) => offer.marks[habit.key]?.[day] ?? null;
  const isNew = (habit, day) => changed[habit.key]?.[day] !== undefined;
  const holds = (habit, day) => offer.due[habit.key]?.[day] !== null;
  const markOf = (habit, day) => (isNew(habit, day) ? changed[habit.key][day] : inFiles(habit, day));
  return {
    changed,
    isNew,
    // Whether the habit is in force on the day.
    holds,
    isDue: (habit, day) => offer.due[habit.key]?.[day] === true,
    markOf,
    // Sets a mark and returns whether it could be set. A mark equal to that of the files is not a change.
    put(habit, day, mark) {
      if (!holds(habit, day)) return false;
      changed[habit.key] ||= {};
      if (mark === inFiles(habit, day)) delete changed[habit.key][day];
      else changed[habit.key][day] = mark;
      return true;
    },
    // The next mark after a click. A count other than the target continues with rest, not with the target.
    following(habit, day) {
      if (habit.kind === "tick") return { null: true, true: false }[String(markOf(habit, day))] ?? null; // ticks have no rest
      const order = habit.kind === "counted" ? [null, habit.target ?? 1, 0, "rest"] : [null, true, false, "rest"];
      const place = order.indexOf(markOf(habit, day));
      return place < 0 ? "rest" : order[(place + 1) % order.length];
    },
    count: () => Object.values(changed).reduce((sum, days) => sum + Object.keys(days).length, 0),
    entered: () => ({
      base: offer.base,
      month: offer.month,
      marks: Object.fromEntries(Object.entries(changed).filter(([, days]) => Object.keys(days).length)),
    }),
  };
}

// Whether a row is filled with numbers.
export const isNumber = (habit) => ["counted", "scale"].includes(habit.kind);

export function markText(habit, mark, due) {
  if (habit.kind === "tick" && typeof mark === "string") return _("done on {day}", { day: dayName(mark) });
  if (mark === true) return _("done");
  if (mark === false) return _("not done");
  if (mark === "rest") return _("rest");
  if (typeof mark === "number" && habit.kind === "scale") return numberText(mark);
  if (typeof mark === "number") return habit.unit ? `${numberText(mark)} ${habit.unit}` : numberText(mark);
  return due ? _("nothing yet") : _("not due");
}

// "2025-03-14" -> "14 March", and "2025-03" -> "March 2025".
export const dayName = (day) => filled(language().date, { day: Number(day.slice(8)), month: language().months[Number(day.slice(5, 7)) - 1] });
export const monthName = (key) => filled(language().monthYear, { month: language().months[Number(key.slice(5, 7)) - 1], year: key.slice(0, 4) });
export const weekdayName = (day) => language().weekdays[(new Date(`${day}T12:00:00Z`).getUTCDay() + 6) % 7];
export const isWeekend = (day) => [0, 6].includes(new Date(`${day}T12:00:00Z`).getUTCDay());
