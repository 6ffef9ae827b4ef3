// A task carried over stands among tomorrow's at once, and leaves them when it is not carried after all.

// Whether a task of tomorrow is the one of today, carried over.
export function continues(planned, task) {
  return planned.source_ref !== null && planned.source_ref !== undefined && planned.source_ref === task.ref && planned.from !== "undated";
}

// Puts tomorrow's tasks in step with what becomes of `task`. Returns whether they changed.
export function followTask(now, task) {
  const there = now.next.find((one) => continues(one, task));
  if (task.what === "carry" && !there) {
    const { ref, title, estimate, said, id } = task;
    now.next.push({ ref: null, title, rank: null, estimate: estimate ?? "", said, id, from: "carried", source_ref: ref });
    return true;
  }
  if (task.what === "carry" || !there) return false;
  now.next = now.next.filter((one) => one !== there);
  return true;
}

// A task that was taken off tomorrow is not carried any more. Returns the task of today that it came from, or null.
export function releaseTask(now, planned) {
  const source = now.tasks.find((one) => continues(planned, one));
  if (!source || source.what !== "carry") return null;
  source.what = source.away ? "away" : "open";
  return source;
}
