// Merges decisions on a list of tasks with a newer list, and maps fields of problems to places on the page.

import { _, _p, N_, numberText } from "./texts.js";

// Name for `_`.
export const DECISIONS = [
  { value: "do", name: N_("do it tomorrow") },
  { value: "shrink", name: N_("make it smaller") },
  { value: "day", name: N_("set a day") },
  { value: "drop", name: N_("drop it") },
];

export const estimateText = (estimate) => (estimate === null || estimate === undefined ? "" : numberText(estimate));
export const decisionName = (what) => _(DECISIONS.find((decision) => decision.value === what).name);

// Finds a task in another list: by its ref, or on another page by its id or title.
export function sameTask(task, tasks) {
  const name = ({ ref }) => ref.slice(ref.indexOf("/") + 1);
  return tasks.find((other) => other.ref === task.ref) || tasks.find((other) => name(other) === name(task) || other.title === task.title);
}

// A decision applied to the current task. Values that the user did not change follow the task.
function updatedDecision(mine, task, now) {
  const title = mine.title === task.title ? now.title : mine.title;
  const estimate = mine.estimate === estimateText(task.estimate) ? estimateText(now.estimate) : mine.estimate;
  return { ...mine, title, estimate };
}

// Applies decisions to a newer list. Returns the decisions that remain, by task ref, and the tasks that changed or are no
// longer on the list.
export function mergeDecisions(before, next, given) {
  const kept = {};
  const changed = [];
  for (const task of before.tasks.filter(({ ref }) => given[ref])) {
    const now = sameTask(task, next.tasks);
    if (now) kept[now.ref] = updatedDecision(given[task.ref], task, now);
    if (!now || ["title", "estimate", "where"].some((key) => now[key] !== task[key])) changed.push({ task, now, mine: given[task.ref] });
  }
  return { kept, changed };
}

// The heading of the undated tasks. It says "four weeks" only of those whose first day is known.
export function undatedSummary(tasks) {
  const count = (waits) => tasks.filter((one) => one.waits === waits).length;
  const [all, long, unknown] = [tasks.length, count("long"), count("unknown")];
  if (all === long) return _("Without a day for four weeks or more, {count}", { count: all });
  const parts = [long && _("{count} for four weeks or more", { count: long }), unknown && _("{count} with no first day noted", { count: unknown })].filter(Boolean);
  return parts.length ? _("Without a day, {count}: {waits}", { count: all, waits: parts.join(", ") }) : _("Without a day, {count}", { count: all });
}

const minutes = (estimate) => _("{minutes} min", { minutes: typeof estimate === "number" ? numberText(estimate) : estimate });
const stateName = (status) => ({ open: _p("of a task", "open"), done: _p("of a task", "done"), carried: _p("of a task", "carried"), dropped: _p("of a task", "dropped") })[status] ?? status;

// The text of a file's value in conflict with a decision: a status, a title, or a whole task.
export function fileText(field, theirs) {
  if (theirs === null || theirs === undefined) return _("it was taken out");
  if (typeof theirs === "object") return [theirs.title, theirs.estimate && minutes(theirs.estimate), stateName(theirs.status)].filter(Boolean).join(", ");
  const key = field.split(".")[2];
  return key === "estimate" ? minutes(theirs) : key === "status" ? stateName(theirs) : String(theirs);
}

// Maps the field of a problem, which has the index of the sent decision, to the row of its task.
export function decisionPlace(field, tasks) {
  const [kind, at, key] = field.split(".");
  const task = kind === "decisions" ? tasks[Number(at)] : null;
  return task ? [pathOf(task), key].filter(Boolean).join(".") : "";
}

// The path of a task's row. Dots are replaced, since they separate the parts of a path.
export const pathOf = (task) => `decided ${task.ref.replaceAll(".", "·")}`;
