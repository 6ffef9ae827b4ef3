// Texts and choices of the week ahead.

import { formatMinutes, formatTime, parseTime } from "./times.js";

export const UNDATED = "undated";

// "Monday 17 March" -> "Mon 17".
export const shortDay = ({ title }) => {
  const [weekday, date] = title.split(" ");
  return `${weekday.slice(0, 3)} ${date}`;
};

// The places that a task can be put on: every day but its own, and without a day unless it has none.
export function placesFor(ref, days) {
  const page = ref.slice(0, ref.indexOf("/"));
  const places = days.filter(({ day }) => day !== page).map((day) => ({
    to: day.day, short: shortDay(day), name: day.title, off: day.broken, full: day.holds === false,
  }));
  return page === UNDATED ? places : [...places, { to: UNDATED, short: "no day", name: "without a day", off: false, full: false }];
}

export const placeName = ({ name, off, full }) => [name, off && "its page cannot be read", full && "full"].filter(Boolean).join(", ");

export function timeText({ start, end }, clock) {
  if (!start) return "all day";
  return [start, end].filter(Boolean).map((text) => formatTime(parseTime(text).minutes, clock)).join("–");
}

// How long a task takes and has waited; for a task of a day, what became of it already.
export function taskText(task, ...more) {
  const minutes = typeof task.estimate === "number" ? formatMinutes(Math.round(task.estimate)) : "";
  const state = task.status && task.status !== "open" ? task.status : "";
  return [state, task.page ? minutes : "", task.said, ...more].filter(Boolean).join(" · ");
}

const STATES = { due: "", rest: "rest", marked: "marked already" };

export const habitText = ({ name, state, lot }) => {
  const said = [lot && lot.toLowerCase(), STATES[state]].filter(Boolean).join(", ");
  return said ? `${name} (${said})` : name;
};

export const regularText = (regular) => (regular.length ? `${regular.map(({ when, names }) => `${when}: ${names.join(", ")}`).join(". ")}.` : "");

export const routineText = ({ title, estimate }) => (estimate ? `${title}, ${formatMinutes(Math.round(estimate))}` : title);

export const refOf = (task) => (task.page ? `${task.page}/${task.ref}` : task.ref);

// The row whose button gets the focus once the one at `place` has left its list of `count`; null for an empty list.
export const nextPlace = (place, count) => (count ? Math.min(Math.max(place, 0), count - 1) : null);

// A number stays on one line with its unit.
export const unbroken = (text) => text.replace(/(\d) (h|min)\b/g, "$1\u00a0$2");
