// The ranks of tasks, from 1. No rank occurs twice, and ranked tasks come first.

import { _, _p } from "./texts.js";

// What a rank is called: its number is in the name, since it is all that is seen of it.
export const rankName = (rank) =>
  [_p("rank of a task", "1st"), _p("rank of a task", "2nd"), _p("rank of a task", "3rd")][rank - 1] ?? _("rank {number}", { number: rank });

// Sorts tasks by rank. Unranked tasks follow in their own order.
export function byRank(tasks) {
  const place = (task) => task.rank || Infinity;
  return [...tasks].sort((left, right) => (place(left) === place(right) ? 0 : place(left) - place(right)));
}

// Sets the rank of a task, or null. The task that had the rank gets the old one. Returns the tasks in their new order.
export function setRank(tasks, task, rank) {
  const holder = rank && tasks.find((other) => other !== task && other.rank === rank);
  if (holder) holder.rank = task.rank;
  task.rank = rank;
  return byRank(tasks);
}

// Moves the task at `place` up (-1) or down (1), in place. Ranks stay with their positions. Returns whether it could
// move.
export function moveTask(tasks, place, by) {
  const [moved, neighbour] = [tasks[place], tasks[place + by]];
  if (!neighbour) return false;
  [moved.rank, neighbour.rank] = [neighbour.rank, moved.rank];
  [tasks[place], tasks[place + by]] = [neighbour, moved];
  return true;
}
