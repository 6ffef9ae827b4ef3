// Error messages: shown beside their fields, or beside the save button if they have no field.

import { tell } from "./elements.js";
import { number } from "./day_fields.js";
import { placeOf } from "./problem_places.js";
import { parseTime } from "./times.js";
import { _ } from "./texts.js";

// The message place of a field, or of the nearest enclosing part.
function nearest(root, path) {
  const parts = path.split(".");
  while (parts.length) {
    const place = root.querySelector(`[data-spot="${CSS.escape(parts.join("."))}"]`);
    if (place) return place;
    parts.pop();
  }
  return null;
}

// Shows all problems. Returns the messages without a place, and the first field to correct.
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

// Shows the problems of a part of a form, whose fields begin with `path`, and goes to the first. Returns the messages
// without a place.
export function showProblemsOf(root, path, problems) {
  const placed = problems.map((one) => ({ ...one, field: one.field && `${path}.${one.field}` }));
  const { unplaced, first } = showProblems(root, placed, { actual: [], planned: [] }, []);
  first?.focus();
  return unplaced;
}

// Validates numbers, times and days before sending, so that all errors show at once. The hours validate themselves while
// typing. Returns the first field to correct, and the number of places with errors.
export function checkFields(root, day) {
  const say = (field, message) => {
    const place = root.querySelector(`.wrong[id="${field.getAttribute("aria-describedby")?.split(" ").at(-1)}"]`);
    if (place && message) tell(place, message);
  };
  for (const field of root.querySelectorAll("input.amount[data-field]")) {
    if (typeof number(field.value) === "string") say(field, _("Expected a number, got \"{typed}\"; write e.g. 3.", { typed: field.value.trim() }));
  }
  for (const field of root.querySelectorAll("input.time[data-field]")) {
    const { wrong } = field.value.trim() ? parseTime(field.value) : {};
    if (wrong) say(field, `${wrong[0].toUpperCase()}${wrong.slice(1)}.`);
  }
  for (const field of root.querySelectorAll('input[type="date"][data-field]')) {
    if (field.value === "") say(field, _("Expected the day to move it to; choose one from the calendar."));
    else if (field.value <= day) say(field, _("Expected a day after {day}, got {typed}; give a later one.", { day, typed: field.value }));
  }
  const places = [...root.querySelectorAll(".wrong:not([hidden])")];
  places.forEach((place) => place.closest("details")?.setAttribute("open", ""));
  return { count: places.length, first: places.length ? root.querySelector(`[aria-describedby~="${places[0].id}"]`) : null };
}

export function clearProblems(root) {
  for (const place of root.querySelectorAll(".wrong:not([hidden])")) tell(place, "");
}
