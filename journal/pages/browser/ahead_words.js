// Texts and choices of the week ahead.

import { weekdayName } from "./month_marks.js";
import { formatMinutes, formatTime, parseTime } from "./times.js";
import { _, _p, filled, inSentence, language } from "./texts.js";

export const UNDATED = "undated";

// "2025-03-17" -> "Mon 17".
export const shortDay = ({ day }) => {
  const { shortWeekday, dayNumber } = language();
  return `${weekdayName(day).slice(0, Math.min(3, shortWeekday))} ${filled(dayNumber, { day: Number(day.slice(8)) })}`;
};

// The places that a task can be put on: every day but its own, and without a day unless it has none.
export function placesFor(ref, days) {
  const page = ref.slice(0, ref.indexOf("/"));
  const places = days.filter(({ day }) => day !== page).map((day) => ({
    to: day.day, short: shortDay(day), name: day.title, off: day.broken, full: day.holds === false,
  }));
  return page === UNDATED ? places : [...places, { to: UNDATED, short: _("no day"), name: _("without a day"), off: false, full: false }];
}

export const placeName = ({ name, off, full }) => [name, off && _("its page cannot be read"), full && _("full")].filter(Boolean).join(", ");

export function timeText({ start, end }, clock) {
  if (!start) return _("all day");
  return [start, end].filter(Boolean).map((text) => formatTime(parseTime(text).minutes, clock)).join("–");
}

// How long a task takes and has waited; for a task of a day, what became of it already.
export function taskText(task, ...more) {
  const minutes = typeof task.estimate === "number" ? formatMinutes(Math.round(task.estimate)) : "";
  const state = { done: _p("of a task", "done"), carried: _p("of a task", "carried"), dropped: _p("of a task", "dropped") }[task.status] ?? "";
  return [state, task.page ? minutes : "", task.said, ...more].filter(Boolean).join(" · ");
}

const STATES = { due: () => "", rest: () => _("rest"), marked: () => _("marked already") };

export const habitText = ({ name, state, lot }) => {
  const said = [lot && inSentence(lot), STATES[state]()].filter(Boolean).join(", ");
  return said ? `${name} (${said})` : name;
};

export const regularText = (regular) => (regular.length ? `${regular.map(({ when, names }) => `${when}: ${names.join(", ")}`).join(". ")}.` : "");

export const routineText = ({ title, estimate }) => (estimate ? `${title}, ${formatMinutes(Math.round(estimate))}` : title);

export const refOf = (task) => (task.page ? `${task.page}/${task.ref}` : task.ref);

// The row whose button gets the focus once the one at `place` has left its list of `count`; null for an empty list.
export const nextPlace = (place, count) => (count ? Math.min(Math.max(place, 0), count - 1) : null);

// A number stays on one line with its unit.
export const unbroken = (text) => text.replace(/(\d) (h|min)\b/g, "$1\u00a0$2");
