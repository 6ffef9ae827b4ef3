// Keeps tomorrow's tasks in step with the tasks of today that are carried over.

import { newTask } from "./form_state.js";

// Whether a task of tomorrow is `task` of today, carried over.
export function continues(planned, task) {
  return planned.source_ref !== null && planned.source_ref !== undefined && planned.source_ref === task.ref && planned.from !== "undated";
}

// Adds `task` to tomorrow if it is carried, or removes it if not. Returns whether tomorrow's tasks changed.
export function followTask(now, task) {
  const planned = now.next.find((candidate) => continues(candidate, task));
  if (task.what === "carry" && !planned) {
    const { ref, title, estimate, said, id } = task;
    now.next.push(newTask(title, estimate ?? "", { said, id, from: "carried", source_ref: ref }));
    return true;
  }
  if (task.what === "carry" || !planned) return false;
  now.next = now.next.filter((candidate) => candidate !== planned);
  return true;
}

// Stops carrying the task of today behind `planned`, which was removed from tomorrow. Returns that task, or null.
export function releaseTask(now, planned) {
  const source = now.tasks.find((task) => continues(planned, task));
  if (!source || source.what !== "carry") return null;
  source.what = source.away ? "away" : "open";
  return source;
}
