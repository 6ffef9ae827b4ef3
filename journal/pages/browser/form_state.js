// What stands on the page: made from an offer, turned into what is sent, compared and carried over to a newer offer.
// It is plain data: every text as it was typed, so that nothing wrong is lost before it is mended.

import { parseLine, parseTime, parseRange, formatTime, formatLine, formatFileRange } from "./times.js";

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
    mood: offer.mood.value,
    energy: offer.energy ? offer.energy.value : null,
    habits: Object.fromEntries(offer.habits.map((habit) => [habit.key, typedMark(habit)])),
    challenges: Object.fromEntries(offer.challenges.map((challenge) => [challenge.key, challenge.ticked])),
    gratitude,
    memory: offer.memory,
    share: offer.share,
    notes: [...offer.notes],
    actual: toLines(offer.actual, offer),
    asPlanned: false,
    tasks: offer.tasks.map((task) => ({ ...copy(task), what: what(task, tomorrow), away: what(task, tomorrow) === "away", to: null, took: text(task.took) })),
    weather: { sky: text(tomorrow.weather.sky), high: text(tomorrow.weather.high), low: text(tomorrow.weather.low) },
    appointments: tomorrow.appointments.filter((one) => one.from === "page").map((one) => ({
      ref: one.ref ?? null, title: one.title, start: typedTime(one.start, offer.clock), end: typedTime(one.end, offer.clock),
    })),
    planned: toLines(tomorrow.planned, offer),
    next: byRank(tomorrow.tasks.map((task) => ({ ...copy(task), from: "page", estimate: text(task.estimate) }))),
  };
}

const typedMark = (habit) => (habit.kind === "counted" && typeof habit.mark === "number" ? String(habit.mark) : habit.mark);

function typedTime(time, clock) {
  if (!time || clock === 24) return time || "";
  const read = parseTime(time);
  return read.wrong ? time : formatTime(read.minutes, clock);
}

export function byRank(tasks) {
  const place = (task) => task.rank || 99;
  return tasks.map((task, order) => ({ task, order })).sort((a, b) => place(a.task) - place(b.task) || a.order - b.order).map((one) => one.task);
}

function toLines(hours, offer) {
  const blocks = Object.entries(hours).flatMap(([category, ranges]) => ranges.map((range) => ({ category, range, ...parseRange(range) })));
  return blocks
    .sort((a, b) => (a.from ?? 0) - (b.from ?? 0))
    .map((block) => (block.wrong ? `${block.category} ${block.range}` : formatLine(block, offer.categories, offer.clock)));
}

// Lines of a strip as blocks; a line that cannot be read is none, `place` says which line a block came from.
export function blocks(lines, categories) {
  return lines.flatMap((line, place) => {
    const read = line.trim() ? parseLine(line, categories) : { wrong: "empty" };
    return read.wrong ? [] : [{ ...read, place }];
  });
}

function fromLines(lines, categories) {
  const hours = {};
  for (const block of blocks(lines, categories)) (hours[block.category] ||= []).push(formatFileRange(block));
  return hours;
}

// A number as it was typed becomes a number; anything else goes as it is, and the answer says what is wrong with it.
export function number(typed) {
  const cleaned = text(typed).trim().replace(",", ".");
  if (cleaned === "") return null;
  return /^-?\d+(\.\d+)?$/.test(cleaned) ? Number(cleaned) : text(typed).trim();
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
    mood: now.mood,
    energy: now.energy,
    habits: Object.fromEntries(offer.habits.map((habit) => [habit.key, mark(habit)])),
    challenges: now.challenges,
    gratitude: kept(now.gratitude),
    memory: now.memory.trim(),
    share: Boolean(now.share && now.memory.trim()),
    notes: kept(now.notes),
    actual: fromLines(now.actual, offer.categories),
    actual_as_planned: now.asPlanned,
    tasks: now.tasks.map((task) => ({
      ref: task.ref ?? null,
      title: task.title,
      ...going(task, offer.tomorrow.day),
      took: number(task.took),
    })),
    tomorrow: {
      weather: { sky: now.weather.sky.trim(), high: number(now.weather.high), low: number(now.weather.low) },
      appointments: now.appointments
        .filter((one) => one.title.trim() || one.start.trim() || one.end.trim())
        .map((one) => ({ ref: one.ref ?? null, title: one.title.trim(), start: time(one.start), end: time(one.end) })),
      planned: fromLines(now.planned, offer.categories),
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

// What will it fit is asked of: the estimates and titles as they stand, the plan, the appointments.
export function asked(offer, now) {
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

// Carry what was typed over to a newer offer of the same day. A field that only one side changed takes that side's
// value; where both did, what was typed stays, and the field is named with the other value.
export function mergeDraft(old, offer, now) {
  const before = fromOffer(old);
  const after = fromOffer(offer);
  const result = copy(after);
  const differing = [];
  const settle = (path, name, was, is, mine, put) => {
    if (same(mine, was) || same(mine, is)) return;
    put(mine);
    if (!same(was, is)) differing.push({ field: path, name, yours: mine, theirs: is, take: put });
  };
  const single = (key, name) => settle(key, name, before[key], after[key], now[key], (value) => { result[key] = value; });
  single("mood", "Mood");
  single("energy", "Energy");
  for (const [kind, word] of [["habits", ""], ["challenges", ""]]) {
    for (const { key, name } of offer[kind]) {
      if (!(key in before[kind])) continue;
      settle(`${kind}.${key}`, word || name, before[kind][key], after[kind][key], now[kind][key], (value) => { result[kind][key] = value; });
    }
  }
  single("gratitude", "Good things");
  single("memory", "One to remember");
  single("share", "A friend may read it");
  // It was ticked for the words beside it; for others it is to be ticked again.
  if (result.share && !before.share && result.memory !== (now.share ? now : after).memory) result.share = false;
  single("notes", "Notes");
  single("actual", "Hours as they went");
  result.asPlanned = now.asPlanned && offer.actual_from_plan;
  for (const [key, name] of [["sky", "Sky"], ["high", "Highest temperature"], ["low", "Lowest temperature"]]) {
    settle(`tomorrow.weather.${key}`, name, before.weather[key], after.weather[key], now.weather[key], (value) => { result.weather[key] = value; });
  }
  single("appointments", "Appointments of tomorrow");
  single("planned", "Hours of tomorrow");
  taskList("tasks", ["what", "to", "took"], before, after, now, result, settle);
  taskList("next", ["rank", "estimate"], before, after, now, result, settle);
  result.next = byRank(result.next);
  return { now: result, differing };
}

const TOLD = { what: "what becomes of it", to: "its new day", took: "minutes it took", rank: "rank", estimate: "minutes for it" };

// Tasks are matched by their id, else by their title; what was added on the page is added again.
function taskList(list, keys, before, after, now, result, settle) {
  const named = (tasks, task) => tasks.find((one) => (task.id && one.id === task.id) || one.title === task.title);
  for (const task of now[list]) {
    const was = task.ref === null || task.ref === undefined ? null : named(before[list], task);
    const is = named(after[list], task);
    const put = named(result[list], task);
    if (!was && !is) result[list].push(copy(task));
    if (!was && is) Object.assign(put, Object.fromEntries(keys.map((key) => [key, task[key] ?? put[key]])));
    if (!was || !is) continue;
    for (const key of keys) {
      settle(`${list}.${task.title}.${key}`, `${task.title}, ${TOLD[key]}`, was[key], is[key], task[key], (value) => { put[key] = value; });
    }
  }
}
