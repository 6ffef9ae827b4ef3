// The state of the form: built from an offer, converted to the values to send, and compared.
// It is plain data with every text as typed, so that invalid input is not lost before it is corrected.

import { number, sentFields, typedFields } from "./day_fields.js";
import { hoursOfLines, linesOfHours } from "./hour_lines.js";
import { byRank } from "./ranks.js";
import { isOpen } from "./taken_off.js";
import { formatTime, parseTime } from "./times.js";
import { numberText } from "./texts.js";

const text = (value) => (value === null || value === undefined ? "" : typeof value === "number" ? numberText(value) : String(value));
const copy = (value) => JSON.parse(JSON.stringify(value));
export const same = (left, right) => JSON.stringify(left) === JSON.stringify(right);

// Whether the file behind a part of the form cannot be read: "today", "tomorrow", "undated" or "settings".
export const isBroken = (offer, part) => (offer.broken ?? []).some((file) => file.part === part);

const OUTCOMES = { open: "open", done: "done", dropped: "drop" };

// The outcome of a task. A carried task is on tomorrow, has no day, or is on a later day ("away").
function what(task, { tasks, undated }) {
  if (task.status !== "carried") return OUTCOMES[task.status];
  if (tasks.some((planned) => planned.source_ref === task.ref)) return "carry";
  const matches = (other) => (task.id && other.ref === task.id) || (other.title === task.title && other.since === task.since);
  return undated.some(matches) ? "undated" : "away";
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
    plannedFields: typedFields(offer.planned_fields ?? []),
    dayAppointments: typedAppointments(offer.appointments ?? [], offer.clock),
    plan: tomorrow.asks !== "carry",
    tomorrowFields: typedFields(tomorrow.fields),
    appointments: typedAppointments(tomorrow.appointments, offer.clock),
    planned: linesOfHours(tomorrow.planned, offer),
    setAside: [], // typed for tomorrow and taken off: they go to the tasks without a day
    adding: { did: "", task: "", minutes: "" }, // typed beside a press "Add", and not added yet
    next: byRank(tomorrow.tasks.map((task) => ({ ...copy(task), from: "page", estimate: text(task.estimate) }))),
  };
}

// A task that is added on the page, for tomorrow or done today.
export const newTask = (title, estimate, more = {}) => ({ ref: null, title, rank: null, estimate, said: "", from: "new", id: null, source_ref: null, ...more });
export const doneTask = (title) => ({ ref: null, title, what: "done", to: null, took: "", rank: null, estimate: null, said: "" });

const typedMark = (habit) => (habit.kind === "counted" && typeof habit.mark === "number" ? numberText(habit.mark) : habit.mark);

const typedAppointments = (appointments, clock) => appointments.filter((item) => item.from === "page").map((item) => ({
  ref: item.ref ?? null, title: item.title, start: typedTime(item.start, clock), end: typedTime(item.end, clock),
}));

function typedTime(time, clock) {
  if (!time || clock === 24) return time || "";
  const read = parseTime(time);
  return read.wrong ? time : formatTime(read.minutes, clock);
}

export const filledLines = (lines) => lines.map((line) => line.trim()).filter((line) => line !== "");
// A typed time as files have it; another text as it is, for the answer to say what is wrong with it.
export const fileTime = (typed) => {
  if (!typed.trim()) return null;
  const read = parseTime(typed);
  return read.wrong ? typed.trim() : formatTime(read.minutes);
};

export function entered(offer, now) {
  const mark = (habit) => {
    const value = now.habits[habit.key];
    return habit.kind === "counted" && typeof value === "string" && value !== "rest" ? number(value) : value;
  };
  const known = !isBroken(offer, "settings"); // else no category is known, and the hours of the pages stay
  const offered = fromOffer(offer); // hours that still are as offered were not entered, whatever is usual by now
  return {
    base: offer.base,
    day: offer.day,
    ...sentFields([...offer.fields, ...(offer.planned_fields ?? [])], { ...now.fields, ...now.plannedFields }),
    appointments: sentAppointments(now.dayAppointments),
    habits: Object.fromEntries(offer.habits.map((habit) => [habit.key, mark(habit)])),
    challenges: now.challenges,
    gratitude: filledLines(now.gratitude),
    memory: now.memory.trim(),
    share: Boolean(now.share && now.memory.trim()),
    notes: filledLines(now.notes),
    ...(known && {
      actual: hoursOfLines(now.actual, offer.categories),
      actual_offered: hoursOfLines(offered.actual, offer.categories),
      actual_as_planned: now.asPlanned,
    }),
    tasks: now.tasks.map((task) => ({
      ref: task.ref ?? null,
      title: task.title,
      ...sentOutcome(task, offer.tomorrow.day),
      took: number(task.took),
    })),
    tomorrow: {
      ...sentFields(offer.tomorrow.fields, now.tomorrowFields),
      appointments: sentAppointments(now.appointments),
      ...(known && isPlanSent(offered, now) && {
        planned: hoursOfLines(now.planned, offer.categories),
        planned_offered: hoursOfLines(offered.planned, offer.categories),
      }),
      tasks: now.next.map((task) => ({
        ref: task.ref ?? null,
        title: task.title,
        rank: task.rank ?? null,
        estimate: number(task.estimate),
        from: task.from,
        source_ref: task.source_ref ?? null,
      })),
      set_aside: now.setAside.map((task) => ({ title: task.title, estimate: number(task.estimate) })),
    },
  };
}

// Hours that nobody touched are a plan unless that is folded away.
const isPlanSent = (offered, now) => now.plan || !same(now.planned, offered.planned);

const sentAppointments = (typed) => typed
  .filter((item) => item.title.trim() || item.start.trim() || item.end.trim())
  .map((item) => ({ ref: item.ref ?? null, title: item.title.trim(), start: fileTime(item.start), end: fileTime(item.end) }));

// The outcome to send. A carried task that is "away" stays there with "carry"; to carry it to tomorrow it must be moved.
function sentOutcome(task, nextDay) {
  if (task.what === "away") return { what: "carry", to: null };
  if (task.what === "carry" && task.away) return { what: "move", to: nextDay };
  return { what: task.what, to: task.what === "move" ? task.to : null };
}

// The parameters of "Will it fit?": tomorrow's estimates, tasks, plan and appointments as entered.
export function capacityQuery(offer, now) {
  const sent = entered(offer, { ...now, next: now.next.filter(isOpen) });
  return {
    base: offer.base,
    day: offer.day,
    estimates: sent.tomorrow.tasks.map((task) => (typeof task.estimate === "number" ? task.estimate : null)),
    tasks: sent.tomorrow.tasks,
    planned: sent.tomorrow.planned ?? {},
    appointments: [...offer.tomorrow.appointments.filter((item) => item.from === "calendar"), ...sent.tomorrow.appointments],
  };
}

export const KEPT_IN_LINES = ["gratitude", "notes", "actual", "planned"]; // lists in which empty lines are ignored

// Whether the state differs from its offer.
export function isChanged(offer, now) {
  return !same(withoutEmptyLines(now), withoutEmptyLines(fromOffer(offer)));
}

// The values of the files, with each line where it stands on the page: empty ones before it are in no file, and a line
// that moved up would leave whoever goes on typing in an empty one.
export function withLines(files, now) {
  const stay = KEPT_IN_LINES.filter((key) => key in now && same(filledLines(now[key]), filledLines(files[key])));
  return { ...files, ...Object.fromEntries(stay.map((key) => [key, [...now[key]]])) };
}

function withoutEmptyLines(now) {
  const { adding, ...rest } = now;
  const { did = "", task = "" } = adding ?? {}; // a draft of an earlier version has none; minutes without a task are none
  return { ...rest, adding: [did.trim(), task.trim()], ...Object.fromEntries(KEPT_IN_LINES.map((key) => [key, now[key].filter((line) => line.trim())])) };
}
