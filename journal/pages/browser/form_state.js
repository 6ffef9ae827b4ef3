// What stands on the page: made from an offer, turned into what is sent, and compared.
// It is plain data: every text as it was typed, so that nothing wrong is lost before it is mended.

import { number, sentFields, typedFields } from "./day_fields.js";
import { hoursOfLines, linesOfHours } from "./hour_lines.js";
import { byRank } from "./ranks.js";
import { formatTime, parseTime } from "./times.js";

const text = (value) => (value === null || value === undefined ? "" : String(value));
const copy = (value) => JSON.parse(JSON.stringify(value));
export const same = (one, other) => JSON.stringify(one) === JSON.stringify(other);

const WHAT = { open: "open", done: "done", dropped: "drop" };

// What became of a task: one that was carried stands on tomorrow, waits without a day, or is on a later day ("away").
function what(task, { tasks, undated }) {
  if (task.status !== "carried") return WHAT[task.status];
  if (tasks.some((one) => one.source_ref === task.ref)) return "carry";
  const named = (one) => (task.id && one.ref === task.id) || (one.title === task.title && one.since === task.since);
  return undated.some(named) ? "undated" : "away";
}

export function fromOffer(offer) {
  const { tomorrow } = offer;
  const gratitude = [...offer.gratitude];
  while (gratitude.length < offer.gratitude_lines) gratitude.push("");
  return {
    fields: typedFields(offer.fields),
    habits: Object.fromEntries(offer.habits.map((habit) => [habit.key, typedMark(habit)])),
    challenges: Object.fromEntries(offer.challenges.map((challenge) => [challenge.key, challenge.ticked])),
    gratitude,
    memory: offer.memory,
    share: offer.share,
    notes: [...offer.notes],
    actual: linesOfHours(offer.actual, offer),
    asPlanned: false,
    tasks: offer.tasks.map((task) => ({ ...copy(task), what: what(task, tomorrow), away: what(task, tomorrow) === "away", to: null, took: text(task.took) })),
    tomorrowFields: typedFields(tomorrow.fields),
    appointments: tomorrow.appointments.filter((one) => one.from === "page").map((one) => ({
      ref: one.ref ?? null, title: one.title, start: typedTime(one.start, offer.clock), end: typedTime(one.end, offer.clock),
    })),
    planned: linesOfHours(tomorrow.planned, offer),
    next: byRank(tomorrow.tasks.map((task) => ({ ...copy(task), from: "page", estimate: text(task.estimate) }))),
  };
}

const typedMark = (habit) => (habit.kind === "counted" && typeof habit.mark === "number" ? String(habit.mark) : habit.mark);

function typedTime(time, clock) {
  if (!time || clock === 24) return time || "";
  const read = parseTime(time);
  return read.wrong ? time : formatTime(read.minutes, clock);
}

const kept = (lines) => lines.map((line) => line.trim()).filter((line) => line !== "");
const time = (typed) => {
  if (!typed.trim()) return null;
  const read = parseTime(typed);
  return read.wrong ? typed.trim() : formatTime(read.minutes);
};

export function entered(offer, now) {
  const mark = (habit) => {
    const value = now.habits[habit.key];
    return habit.kind === "counted" && typeof value === "string" && value !== "rest" ? number(value) : value;
  };
  return {
    base: offer.base,
    day: offer.day,
    ...sentFields(offer.fields, now.fields),
    habits: Object.fromEntries(offer.habits.map((habit) => [habit.key, mark(habit)])),
    challenges: now.challenges,
    gratitude: kept(now.gratitude),
    memory: now.memory.trim(),
    share: Boolean(now.share && now.memory.trim()),
    notes: kept(now.notes),
    actual: hoursOfLines(now.actual, offer.categories),
    actual_as_planned: now.asPlanned,
    tasks: now.tasks.map((task) => ({
      ref: task.ref ?? null,
      title: task.title,
      ...going(task, offer.tomorrow.day),
      took: number(task.took),
    })),
    tomorrow: {
      ...sentFields(offer.tomorrow.fields, now.tomorrowFields),
      appointments: now.appointments
        .filter((one) => one.title.trim() || one.start.trim() || one.end.trim())
        .map((one) => ({ ref: one.ref ?? null, title: one.title.trim(), start: time(one.start), end: time(one.end) })),
      planned: hoursOfLines(now.planned, offer.categories),
      tasks: now.next.map((task) => ({
        ref: task.ref ?? null,
        title: task.title,
        rank: task.rank ?? null,
        estimate: number(task.estimate),
        from: task.from,
        source_ref: task.source_ref ?? null,
      })),
    },
  };
}

// "carry" leaves a task that was carried where it is; one that is on a later day is moved to come back to tomorrow.
function going(task, nextDay) {
  if (task.what === "away") return { what: "carry", to: null };
  if (task.what === "carry" && task.away) return { what: "move", to: nextDay };
  return { what: task.what, to: task.what === "move" ? task.to : null };
}

// What "will it fit" is asked of: the estimates and titles as they stand, the plan, the appointments.
export function capacityQuery(offer, now) {
  const sent = entered(offer, now);
  return {
    base: offer.base,
    day: offer.day,
    estimates: sent.tomorrow.tasks.map((task) => (typeof task.estimate === "number" ? task.estimate : null)),
    tasks: sent.tomorrow.tasks,
    planned: sent.tomorrow.planned,
    appointments: [...offer.tomorrow.appointments.filter((one) => one.from === "calendar"), ...sent.tomorrow.appointments],
  };
}

const KEPT_IN_LINES = ["gratitude", "notes", "actual", "planned"]; // where an empty line says nothing

// Whether the page says anything that its offer does not.
export function isChanged(offer, now) {
  return !same(withoutEmptyLines(now), withoutEmptyLines(fromOffer(offer)));
}

function withoutEmptyLines(now) {
  return { ...now, ...Object.fromEntries(KEPT_IN_LINES.map((key) => [key, now[key].filter((line) => line.trim())])) };
}
