// The ranks of tasks: 1 for the first. No rank is held twice, and ranked tasks stand before the others.

// In the order of their ranks; tasks without one stay in their own order, behind.
export function byRank(tasks) {
  const place = (task) => task.rank || Infinity;
  return [...tasks].sort((one, other) => (place(one) === place(other) ? 0 : place(one) - place(other)));
}

// The first rank up to `count` that no other task has, or null.
export function freeRank(tasks, task, count) {
  for (let rank = 1; rank <= count; rank += 1) {
    if (!tasks.some((other) => other !== task && other.rank === rank)) return rank;
  }
  return null;
}

// Gives a task a rank, or null for none. The task that had it gets this one's. Returns the tasks in their new order.
export function setRank(tasks, task, rank) {
  const holder = rank && tasks.find((other) => other !== task && other.rank === rank);
  if (holder) holder.rank = task.rank;
  task.rank = rank;
  return byRank(tasks);
}

// Moves the task at `place` by one up (-1) or down (1), in the list itself. The rank stays with the place. Returns
// whether there was anywhere to go.
export function moveTask(tasks, place, by) {
  const [one, other] = [tasks[place], tasks[place + by]];
  if (!other) return false;
  [one.rank, other.rank] = [other.rank, one.rank];
  [tasks[place], tasks[place + by]] = [other, one];
  return true;
}
