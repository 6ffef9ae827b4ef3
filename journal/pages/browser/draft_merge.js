// A three-way merge of the entered values (`now`), the offer they started from, and a newer offer of the same day. A field
// that only one side changed takes that side's value. If both sides changed it, the entered value stays and the field is
// reported as a conflict with the other value.

import { fieldKey, fieldName } from "./day_fields.js";
import { KEPT_IN_LINES, filledLines, fromOffer, isBroken, newTask, same, withLines } from "./form_state.js";
import { byRank } from "./ranks.js";
import { N_, _ } from "./texts.js";

// What is entered for each part of the form that has a file of its own.
const PARTS = {
  today: ["fields", "plannedFields", "dayAppointments", "habits", "challenges", "gratitude", "memory", "share", "notes", "actual", "asPlanned", "tasks"],
  tomorrow: ["tomorrowFields", "appointments", "planned", "plan", "next"],
  settings: ["fields", "habits", "challenges", "actual", "asPlanned", "planned"],
};

const copy = (value) => JSON.parse(JSON.stringify(value));

// `before` are the values that the entered ones are compared with, if those of the old offer are saved by now.
export function mergeDraft(old, offer, now, before = fromOffer(old)) {
  const after = fromOffer(offer);
  // Of a file that cannot be read any more nothing is known to merge with: what is entered stays as it is.
  // Hours that nobody touched were not entered. Kept beside an offer without them, they would look entered.
  const untouched = untouchedHours(before, now);
  const lost = Object.entries(PARTS).filter(([part]) => isBroken(offer, part) && !isBroken(old, part)).flatMap(([, keys]) => keys)
    .filter((key) => !untouched.includes(key));
  for (const key of lost) before[key] = copy(after[key]);
  const result = copy(after);
  const conflicts = [];
  const settle = (path, name, was, is, mine, put) => {
    if (same(mine, was) || same(mine, is)) return;
    put(mine);
    if (!same(was, is)) conflicts.push({ field: path, name, yours: mine, theirs: is, take: put });
  };
  const single = (key, name) => {
    if (!(key in now)) return;
    const of = ({ [key]: value }) => (KEPT_IN_LINES.includes(key) ? filledLines(value) : value);
    settle(key, name, of(before), of(after), of(now), (value) => { result[key] = [now, after].find((side) => same(of(side), value))?.[key] ?? value; });
  };
  const fields = (side, offered, path) => {
    for (const field of offered) {
      const key = fieldKey(field);
      if (!(key in (now[side] ?? {}))) continue;
      settle(path + key, fieldName(field), key in before[side] ? before[side][key] : after[side][key], after[side][key], now[side][key], (value) => { result[side][key] = value; });
    }
  };
  fields("fields", offer.fields, "");
  for (const [kind, word] of [["habits", ""], ["challenges", ""]]) {
    for (const { key, name } of offer[kind]) {
      if (!(key in now[kind])) continue;
      settle(`${kind}.${key}`, word || name, key in before[kind] ? before[kind][key] : after[kind][key], after[kind][key], now[kind][key], (value) => { result[kind][key] = value; });
    }
  }
  single("gratitude", _("Good things"));
  single("memory", _("One to remember"));
  single("share", _("A friend may read it"));
  // The tick applies to the memory it was set for. Another memory needs a new tick.
  if (result.share && !before.share && result.memory !== (now.share ? now : after).memory) result.share = false;
  single("notes", _("Notes"));
  single("actual", _("Hours as they went"));
  result.asPlanned = now.asPlanned && offer.actual_from_plan;
  fields("plannedFields", offer.planned_fields ?? [], "");
  single("dayAppointments", _("Appointments of the day"));
  taskList("tasks", ["what", "to", "took"], before, after, now, result, settle);
  result.adding = copy(now.adding ?? after.adding);
  if (old.tomorrow.day === offer.tomorrow.day) {
    if (offer.tomorrow.asks !== "carry") result.plan = now.plan ?? true;
    fields("tomorrowFields", offer.tomorrow.fields, "tomorrow.");
    single("appointments", _("Appointments of tomorrow"));
    single("planned", _("Hours of tomorrow"));
    taskList("next", ["rank", "estimate"], before, after, now, result, settle);
  } else {
    // The day that was planned is over. Its own plan is, too, but no task is: what was added goes to today.
    result.next.push(...now.next.filter((task) => task.ref === null && !result.next.some((other) => sameTask(other, task))).map((task) => ({ ...copy(task), rank: null })));
    if (result.adding.task.trim()) result.next.push(newTask(result.adding.task.trim(), result.adding.minutes.trim()));
    Object.assign(result.adding, { task: "", minutes: "" });
  }
  result.next = byRank(result.next);
  result.setAside = copy(now.setAside ?? []);
  Object.assign(result, withLines(result, now));
  for (const key of lost) if (key in now) result[key] = copy(now[key]);
  return { now: result, conflicts };
}

const untouchedHours = (before, now) => ["actual", "planned"].filter((key) => same(now[key], before[key]));

// The entered values beside an offer in which only journal.toml has changed. What was entered stays, marks of habits that are
// not asked at the moment included. Hours that nobody touched are those of the new offer: else they would look entered.
export function withSettings(old, offer, now) {
  const [before, after] = [fromOffer(old), fromOffer(offer)];
  return { ...now, ...Object.fromEntries(untouchedHours(before, now).map((key) => [key, after[key]])), habits: { ...after.habits, ...now.habits } };
}

const KEY_TEXTS = { what: N_("what becomes of it"), to: N_("its new day"), took: N_("minutes it took"), rank: N_("rank"), estimate: N_("minutes for it") };

const sameTask = (one, other) => Boolean(one.id && one.id === other.id) || one.title === other.title;

// Tasks are matched by id or title. Tasks added on the page are added again.
function taskList(list, keys, before, after, now, result, settle) {
  const match = (tasks, task) => tasks.find((other) => sameTask(other, task));
  for (const task of now[list]) {
    const was = task.ref === null || task.ref === undefined ? null : match(before[list], task);
    const is = match(after[list], task);
    const put = match(result[list], task);
    if (!was && !is) result[list].push(copy(task));
    if (!was && is) Object.assign(put, Object.fromEntries(keys.map((key) => [key, task[key] ?? put[key]])));
    if (!was || !is) continue;
    for (const key of keys) {
      settle(`${list}.${task.title}.${key}`, `${task.title}, ${_(KEY_TEXTS[key])}`, was[key], is[key], task[key], (value) => { put[key] = value; });
    }
  }
}
