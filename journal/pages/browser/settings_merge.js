// A merge of three for the settings: what was typed (`now`), the offer it was begun from, and a newer offer. What only one
// side changed is that side's. Where both did, what was typed stays and a conflict has both.

import { same } from "./form_state.js";
import { hoursOfLines, linesOfHours, parseLine } from "./hour_lines.js";
import { fieldsOf, intervalText, patternName, weekdaysFrom } from "./schedule_state.js";
import { fromSettings, stripCategories, weekdayOfKey } from "./settings_state.js";
import { _, _n, inSentence } from "./texts.js";

const copy = (value) => JSON.parse(JSON.stringify(value));

export function mergeSettings(old, offer, now) {
  const before = fromSettings(old);
  const result = fromSettings(offer);
  result.removed = copy(now.removed);
  const conflicts = [];
  const settle = (field, name, [was, is, mine], put, say = (value) => value) => {
    if (same(mine, was) || same(mine, is)) return;
    put(mine);
    if (!same(was, is)) conflicts.push({ field, name, yours: say(mine), theirs: say(is), take: () => put(is) });
  };
  for (const [name, mine] of Object.entries(now.singles)) {
    settle(name, labelOf(offer.controls[name]), [before.singles[name], result.singles[name], mine], (value) => { result.singles[name] = value; });
  }
  const of = (page) => (state) => ({ lines: state.strips, categories: stripCategories(page, state) });
  const [was, is, mine] = [of(old)(before), of(offer)(copy(result)), of(offer)(now)];
  for (const name of Object.keys(now.lists)) mergeList(name, offer, before, now, result, settle);
  mergeStrips([was, is, mine], offer, result, settle);
  return { now: result, conflicts };
}

// Hours are compared by the keys of their categories, since a category may have got another name on one side.
function mergeStrips(sides, offer, result, settle) {
  const categories = stripCategories(offer, result);
  for (const day of Object.keys(sides[2].lines)) {
    const [was, is, mine] = sides.map((side) => side.lines[day] && { hours: hoursOfLines(side.lines[day], side.categories), unread: unread(side.lines[day], side.categories) });
    const shown = (value) => value && [...linesOfHours(value.hours, { categories, clock: offer.clock }), ...value.unread];
    result.strips[day] = shown(is);
    settle(`hours.${day}`, _("Hours, {day}", { day: weekdayOfKey(day) }), [was, is, mine], (value) => { result.strips[day] = shown(value); }, (value) => shown(value) ?? _("as on the usual day"));
  }
}

const unread = (lines, categories) => lines.filter((line) => line.trim() && parseLine(line, categories).wrong);
const labelOf = (field) => field.label;
const byRef = (rows, ref) => rows.find((row) => ref !== null && row.ref === ref);

function mergeList(name, offer, before, now, result, settle) {
  const { fields, name_key: nameKey } = offer.lists[name];
  const rows = result.lists[name];
  const there = copy(rows);
  const placed = [];
  for (const mine of now.lists[name]) {
    const was = byRef(before.lists[name], mine.ref);
    const saved = mine.ref === null ? newThere(mine, there, before.lists[name], nameKey) : null;
    const row = byRef(rows, saved ? saved.ref : mine.ref);
    if (!row && was && same(content(was), content(mine))) continue; // it is gone there, and nothing was typed here
    if (!row) {
      const added = { ...copy(mine), ref: null, uid: freshName(mine, rows) };
      rows.push(added);
      placed.push(added);
      continue;
    }
    placed.push(row);
    const start = was ?? row;
    const is = copy(row);
    for (const field of fields) {
      if (saved && field.key === "key" && !mine.values.key) continue; // it got one when it was saved
      const values = [start.values[field.key], is.values[field.key], mine.values[field.key]];
      settle(`${name}.${row.uid}.${field.key}`, `${mine.values[nameKey] || offer.lists[name].noun}, ${inSentence(field.label)}`, values, (value) => { row.values[field.key] = value; }, spoken);
    }
    if (row.schedule) {
      settle(`${name}.${row.uid}.schedule`, _("{name}, when it is due", { name: mine.values[nameKey] }), [start.schedule, is.schedule, mine.schedule], (value) => { row.schedule = copy(value); }, spokenSchedule);
    }
  }
  removeGone(name, before, now, rows, settle, offer.lists[name]);
  if (isMoved(before.lists[name], now.lists[name])) inOrder(rows, placed);
}

const content = ({ values, schedule }) => ({ values, schedule });
const freshName = (mine, rows) => (rows.some(({ uid }) => uid === mine.uid) ? `${mine.uid}-${rows.length}` : mine.uid);

// A row that was new here and is in the newer file, saved by this page or by another: one of the same name.
const newThere = (mine, there, before, nameKey) =>
  there.find((row) => !byRef(before, row.ref) && row.values[nameKey] === mine.values[nameKey] && row.values.from === mine.values.from);

// Rows that were taken out here go, unless they were changed there: then both are shown.
function removeGone(name, before, now, rows, settle, { name_key: nameKey, noun }) {
  for (const was of before.lists[name]) {
    const row = byRef(rows, was.ref);
    if (!row || byRef(now.lists[name], was.ref)) continue;
    const at = rows.indexOf(row);
    const put = (keep) => {
      if (keep && !rows.includes(row)) rows.splice(at, 0, row);
      if (!keep && rows.includes(row)) rows.splice(rows.indexOf(row), 1);
    };
    const isSame = same(content(was), content(row));
    settle(`${name}.${row.uid}`, was.values[nameKey] || noun, [isSame ? true : "before", true, false], put, (kept) => (kept ? _("changed") : _("taken out")));
  }
}

function isMoved(before, now) {
  const order = (rows) => rows.map(({ ref }) => ref).filter((ref) => ref !== null && byRef(before, ref) && byRef(now, ref));
  return !same(order(before), order(now));
}

function inOrder(rows, placed) {
  const others = rows.filter((row) => !placed.includes(row));
  rows.splice(0, rows.length, ...placed, ...others);
}

function spoken(value) {
  if (typeof value === "boolean") return value ? _("yes") : _("no");
  return value;
}

function spokenSchedule(schedule) {
  if (schedule.pattern === "other") return schedule.rule;
  const used = fieldsOf(schedule.pattern);
  const uses = (name) => used.includes(name) && String(schedule[name] ?? "") !== "";
  const parts = [
    patternName(schedule.pattern),
    uses("interval") && schedule.interval > 1 && intervalText(schedule),
    uses("weekdays") && weekdaysFrom(schedule.weeks_from).filter(([code]) => schedule.weekdays.includes(code)).map(([, name]) => name).join(", "),
    uses("month_days") && schedule.month_days,
    uses("times") && (schedule.per === "week" ? _n("{count} time a week", "{count} times a week", Number(schedule.times)) : _n("{count} time a month", "{count} times a month", Number(schedule.times))),
  ];
  return parts.filter(Boolean).join(" · ");
}
