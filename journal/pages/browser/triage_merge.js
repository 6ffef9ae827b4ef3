// Merges decisions on a list of tasks with a newer list, and maps fields of problems to places on the page.

export const DECISIONS = [
  { value: "do", name: "do it tomorrow" },
  { value: "shrink", name: "make it smaller" },
  { value: "day", name: "set a day" },
  { value: "drop", name: "drop it" },
];

export const estimateText = (estimate) => (estimate === null || estimate === undefined ? "" : String(estimate));
export const decisionName = (what) => DECISIONS.find((decision) => decision.value === what).name;

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
  if (tasks.length === count("long")) return `Without a day for four weeks or more, ${tasks.length}`;
  const parts = [[count("long"), "for four weeks or more"], [count("unknown"), "with no first day noted"]];
  const known = parts.filter(([many]) => many).map(([many, words]) => `${many} ${words}`).join(", ");
  return `Without a day, ${tasks.length}${known && `: ${known}`}`;
}

// The text of a file's value in conflict with a decision: a status, a title, or a whole task.
export function fileText(field, theirs) {
  if (theirs === null || theirs === undefined) return "it was taken out";
  if (typeof theirs === "object") return [theirs.title, theirs.estimate && `${theirs.estimate} min`, theirs.status].filter(Boolean).join(", ");
  const key = field.split(".")[2];
  return key === "estimate" ? `${theirs} min` : String(theirs);
}

// Maps the field of a problem, which has the index of the sent decision, to the row of its task.
export function decisionPlace(field, tasks) {
  const [kind, at, key] = field.split(".");
  const task = kind === "decisions" ? tasks[Number(at)] : null;
  return task ? [pathOf(task), key].filter(Boolean).join(".") : "";
}

// The path of a task's row. Dots are replaced, since they separate the parts of a path.
export const pathOf = (task) => `decided ${task.ref.replaceAll(".", "·")}`;
