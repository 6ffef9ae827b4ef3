// Decisions on a list of tasks, carried over to a newer list; and where on the page what the files say belongs.

export const DECISIONS = [
  { value: "do", name: "do it tomorrow" },
  { value: "shrink", name: "make it smaller" },
  { value: "day", name: "set a day" },
  { value: "drop", name: "drop it" },
];

export const estimateText = (estimate) => (estimate === null || estimate === undefined ? "" : String(estimate));
export const decisionName = (what) => DECISIONS.find((one) => one.value === what).name;

// The task of another list that is this one: where it was, or on another page under its id or its title.
export function sameTask(task, tasks) {
  const name = (one) => one.ref.slice(one.ref.indexOf("/") + 1);
  return tasks.find((one) => one.ref === task.ref) || tasks.find((one) => name(one) === name(task) || one.title === task.title);
}

// What was typed for a task, with what nobody touched of it as the task is now.
function followed(mine, task, now) {
  const title = mine.title === task.title ? now.title : mine.title;
  const estimate = mine.estimate === estimateText(task.estimate) ? estimateText(now.estimate) : mine.estimate;
  return { ...mine, title, estimate };
}

// What was chosen goes over to a newer list. Returns what is kept, by the ref of its task, and the tasks that changed
// since or are no longer on the list.
export function mergeDecisions(before, next, given) {
  const kept = {};
  const changed = [];
  for (const task of before.tasks.filter((one) => given[one.ref])) {
    const now = sameTask(task, next.tasks);
    if (now) kept[now.ref] = followed(given[task.ref], task, now);
    if (!now || ["title", "estimate", "where"].some((key) => now[key] !== task[key])) changed.push({ task, now, mine: given[task.ref] });
  }
  return { kept, changed };
}

// What a file has in the place that a decision was about to change: a task's state, its words, the whole row.
export function fileText(field, theirs) {
  if (theirs === null || theirs === undefined) return "it was taken out";
  if (typeof theirs === "object") return [theirs.title, theirs.estimate && `${theirs.estimate} min`, theirs.status].filter(Boolean).join(", ");
  const key = field.split(".")[2];
  return key === "estimate" ? `${theirs} min` : String(theirs);
}

// A message about the second decision that was sent belongs to the row of its task.
export function decisionPlace(field, tasks) {
  const [kind, at, key] = field.split(".");
  const task = kind === "decisions" ? tasks[Number(at)] : null;
  return task ? [pathOf(task), key].filter(Boolean).join(".") : "";
}

// What a row is named by on the page. A dot would part the name.
export const pathOf = (task) => `decided ${task.ref.replaceAll(".", "·")}`;
