// Tasks taken off tomorrow. None is lost: it is open again on its day, comes round again, or goes to those without a day.

import { _, _p } from "./texts.js";

const FROM_ELSEWHERE = ["undated", "routine"]; // these stay where they were taken from until they are saved

// Takes `task` off tomorrow. One that was only typed is set aside. `source` is the task of the day that it was carried from,
// which is open again, or null.
export function takeOff(now, task, source) {
  now.next = now.next.filter((other) => other !== task);
  if (task.ref === null && !source && !FROM_ELSEWHERE.includes(task.from)) now.setAside.push(task);
}

// Puts `task` back on tomorrow. It loses its rank if another task has that by now.
export function putOn(now, task) {
  now.setAside = now.setAside.filter((other) => other !== task);
  const others = now.next.filter((other) => other !== task && (task.ref === null || other.ref !== task.ref));
  if (others.some((other) => task.rank && other.rank === task.rank)) task.rank = null;
  now.next = [...others, task];
}

// The tasks taken off that saving moves: those of tomorrow's page, then those that were only typed.
export function takenOff(offer, now) {
  const stands = ({ ref }) => now.next.some((other) => other.ref === ref);
  const source = ({ source_ref: ref }) => now.tasks.find((other) => ref && other.ref === ref);
  const settled = (task) => source(task) && !["open", "away"].includes(source(task).what); // its own row says what becomes of it
  return [...offer.tomorrow.tasks.filter((task) => isOpen(task) && !stands(task) && !settled(task)), ...now.setAside];
}

// What became of a task: "done".
export const statusName = (status) => ({ done: _p("of a task", "done"), carried: _p("of a task", "carried"), dropped: _p("of a task", "dropped") })[status] ?? status;

export const isOpen = (task) => !task.status || task.status === "open";

// Where a task goes that is taken off tomorrow.
export function whereTo(offer, now, task) {
  if (task.source_ref && now.tasks.some((other) => other.ref === task.source_ref)) return offer.day === offer.today ? _("is open again today") : _("is open again on its day");
  if (task.ref === null && task.from === "undated") return _("stays without a day");
  if (task.ref === null && task.from === "routine") return _("is offered below again");
  return task.comes_round ? _("comes round again") : _("goes to the tasks without a day");
}
