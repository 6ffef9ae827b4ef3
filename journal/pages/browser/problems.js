// What is wrong is said beside its field; what nobody can place is said beside the button.

import { tell } from "./elements.js";
import { number } from "./day_fields.js";
import { placeOf } from "./problem_places.js";
import { parseTime } from "./times.js";

// The nearest place that the page has: the field's own, else that of what it is a part of.
function nearest(root, path) {
  const parts = path.split(".");
  while (parts.length) {
    const found = root.querySelector(`[data-spot="${CSS.escape(parts.join("."))}"]`);
    if (found) return found;
    parts.pop();
  }
  return null;
}

// Says every problem, and returns what could not be placed and the first field to mend.
export function showProblems(root, problems, now, categories) {
  const unplaced = [];
  let first = null;
  for (const { field, message } of problems) {
    const place = field ? nearest(root, placeOf(field, now, categories)) : null;
    if (!place) {
      unplaced.push(message);
      continue;
    }
    tell(place, place.hidden ? message : `${place.textContent} ${message}`);
    place.closest("details")?.setAttribute("open", "");
    first ||= root.querySelector(`[aria-describedby~="${place.id}"]`);
  }
  return { unplaced, first };
}

// What can be seen to be wrong before anything is sent, so that all of it is said at once: numbers, times, days. The
// hours say theirs as they are typed. Returns the first field to mend, and how many places there are.
export function checkFields(root, day) {
  const say = (field, message) => {
    const place = root.querySelector(`.wrong[id="${field.getAttribute("aria-describedby")?.split(" ").at(-1)}"]`);
    if (place && message) tell(place, message);
  };
  for (const field of root.querySelectorAll("input.amount[data-field]")) {
    if (typeof number(field.value) === "string") say(field, `Expected a number, got "${field.value.trim()}"; write e.g. 3.`);
  }
  for (const field of root.querySelectorAll("input.time[data-field]")) {
    const { wrong } = field.value.trim() ? parseTime(field.value) : {};
    if (wrong) say(field, `${wrong[0].toUpperCase()}${wrong.slice(1)}.`);
  }
  for (const field of root.querySelectorAll('input[type="date"][data-field]')) {
    if (field.value === "") say(field, "Expected the day to move it to; choose one from the calendar.");
    else if (field.value <= day) say(field, `Expected a day after ${day}, got ${field.value}; give a later one.`);
  }
  const places = [...root.querySelectorAll(".wrong:not([hidden])")];
  places.forEach((place) => place.closest("details")?.setAttribute("open", ""));
  return { count: places.length, first: places.length ? root.querySelector(`[aria-describedby~="${places[0].id}"]`) : null };
}

export function clearProblems(root) {
  for (const place of root.querySelectorAll(".wrong:not([hidden])")) tell(place, "");
}
