// The settings as they stand on the page: made from an offer, turned into what is sent, and compared. Plain data.
//
// A row of a list has a `uid`, its name on the page, and `ref`, its name in the file, null for a new one. The lines of a
// strip are null for a weekday that is as the usual day.

import { number } from "./day_fields.js";
import { same } from "./form_state.js";
import { formatLine, hoursOfLines, linesOfHours, parseBlocks, parseLine } from "./hour_lines.js";
import { sentSchedule, typedSchedule } from "./schedule_state.js";
import { formatTime, parseTime } from "./times.js";
import { _, language } from "./texts.js";

const copy = (value) => JSON.parse(JSON.stringify(value));

const WEEKDAY_KEYS = ["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"];

// The name of a strip of journal.toml: that of its weekday, or of the usual day.
export const weekdayOfKey = (key) => language().weekdays[WEEKDAY_KEYS.indexOf(key)] ?? _("usual");

export function fromSettings(offer) {
  const lists = Object.fromEntries(Object.entries(offer.lists).map(([name, { rows }]) => [name, rows.map(typedRow)]));
  const singles = Object.fromEntries(
    Object.entries(offer.singles).map(([name, value]) => [name, isTime(offer, name) ? typedTime(value, offer.clock) : value]),
  );
  const now = { singles, lists, strips: {}, removed: {} };
  const named = { categories: stripCategories(offer, now), clock: offer.clock };
  now.strips = Object.fromEntries(Object.entries(offer.strips).map(([day, hours]) => [day, hours ? linesOfHours(hours, named) : day === "usual" ? [] : null]));
  return now;
}

const isTime = (offer, name) => offer.controls[name]?.control === "time";

const typedRow = (row, place) => ({
  uid: `r${place}`, ref: row.ref, values: copy(row.values), schedule: row.schedule && typedSchedule(row.schedule),
});

function typedTime(time, clock) {
  const { wrong, minutes } = parseTime(time || "?");
  return wrong || clock === 24 ? time : formatTime(minutes, clock);
}

function sentTime(typed) {
  const { wrong, minutes } = parseTime(typed || "?");
  return wrong ? typed : formatTime(minutes);
}

// A row that is added to a list, as a blank one or as another begins.
export function newRow(offer, now, name, values = {}, schedule = null) {
  const { blank, blank_schedule: empty } = offer.lists[name];
  const numbers = now.lists[name].map(({ uid }) => (uid[0] === "n" ? number(uid.slice(1)) + 1 : 0));
  return {
    uid: `n${Math.max(0, ...numbers)}`, ref: null, values: { ...copy(blank), ...values },
    schedule: schedule ? { ...copy(schedule), rule: "" } : empty && typedSchedule(empty),
  };
}

// A key for a name that pages can write: letters, digits and hyphens.
export function keyOf(text, taken) {
  const plain = text.normalize("NFKD").toLowerCase().replace(/[^a-z0-9 _-]/g, "").trim().replace(/[ _-]+/g, "-") || "category";
  let key = plain;
  for (let count = 2; taken.includes(key); count += 1) key = `${plain}-${count}`;
  return key;
}

// The categories as the strips need them. A new one has the key that its name will get.
export function stripCategories(offer, now) {
  const taken = now.lists.categories.map(({ values }) => values.key).filter(Boolean);
  return now.lists.categories.filter(({ values }) => values.name.trim()).map(({ uid, values }) => {
    const key = values.key || keyOf(values.name, taken);
    return { uid, key, name: values.name.trim(), colour: shownColour(offer, values), sleep: values.sleep };
  });
}

// Lines of a strip after categories got other names. A line that names none of those before stays as it is.
export function renamedLines(lines, before, after, clock) {
  return lines.map((line) => {
    const read = line.trim() ? parseLine(line, before) : { wrong: "empty" };
    const uid = before.find(({ key }) => key === read.category)?.uid;
    const category = after.find((one) => one.uid === uid);
    return read.wrong || !category ? line : formatLine({ ...read, category: category.key }, after, clock);
  });
}

// The names that lines may use: a name that is empty, or is that of another category, is not taken over yet.
export function settledCategories(offer, now, before) {
  const current = stripCategories(offer, now);
  const isTaken = (one) => current.some((other) => other !== one && [other.name, other.key].some((text) => text.toLowerCase() === one.name.toLowerCase()));
  const kept = before.filter(({ uid }) => now.lists.categories.some((row) => row.uid === uid) && !current.some((one) => one.uid === uid));
  return [...current.map((one) => (isTaken(one) && before.find(({ uid }) => uid === one.uid)) || one), ...kept];
}

export const isColour = (text) => /^#[0-9a-f]{6}$/i.test(text);

export function shownColour(offer, { colour, key }) {
  return isColour(colour) ? colour : offer.colours[key] || "#999933";
}

// The values to send. Schedules and strips that nobody touched are left out.
export function enteredSettings(offer, now) {
  const before = fromSettings(offer);
  const singles = Object.fromEntries(Object.entries(now.singles).map(([name, value]) => {
    if (value === before.singles[name]) return [name, offer.singles[name]];
    return [name, isTime(offer, name) ? sentTime(value) : value];
  }));
  const lists = Object.fromEntries(Object.entries(now.lists).map(([name, rows]) => [name, rows.map((row) => sentRow(row, before.lists[name]))]));
  const categories = stripCategories(offer, now);
  lists.categories.forEach((row) => {
    if (!row.values.key) row.values.key = categories.find(({ name }) => name === row.values.name.trim())?.key ?? "";
  });
  const strips = {};
  for (const [day, lines] of Object.entries(now.strips)) {
    const hours = lines && hoursOfLines(lines, categories);
    if (!same(hours, before.strips[day] && hoursOfLines(before.strips[day], stripCategories(offer, before)))) strips[day] = hours;
  }
  return { base: offer.base, singles, lists, strips, removed: now.removed };
}

function sentRow({ ref, values, schedule }, before) {
  const was = before.find((row) => ref !== null && row.ref === ref);
  const sent = { ref, values: copy(values) };
  if (schedule && !(was && same(was.schedule, schedule))) sent.schedule = sentSchedule(schedule);
  return sent;
}

// Whether the page says anything that its offer does not.
export function isSettingsChanged(offer, now) {
  const [typed, before] = [now, fromSettings(offer)].map((state) => {
    const rows = Object.entries(state.lists).map(([name, list]) => [name, list.map(({ ref, values, schedule }) => ({ ref, values, schedule }))]);
    const strips = Object.entries(state.strips).map(([day, lines]) => [day, lines && lines.filter((line) => line.trim())]);
    return { singles: state.singles, rows, strips };
  });
  return !same(typed, before);
}

// Whether two offers show the same. Their bases may differ.
export const showsSameSettings = (one, other) => same({ ...one, base: "" }, { ...other, base: "" });

// The place on the page of a problem's field: rows are sent by position and shown by name, and so are the lines of hours.
export function settingPlace(field, offer, now) {
  const [first, at, ...rest] = field.split(".");
  if (first === "hours" && rest.length > 1) {
    const blocks = parseBlocks(now.strips[at] ?? [], stripCategories(offer, now)).filter(({ category }) => category === rest[0]);
    const block = blocks[Number(rest[1])];
    return block ? `hours.${at}.line.${block.place}` : `hours.${at}`;
  }
  const row = now.lists[first]?.[Number(at)];
  if (!row || at === undefined) return field;
  const key = { every: "schedule.pattern", times: "schedule.times", per: "schedule.per" }[rest[0]] ?? rest.join(".");
  return [first, row.uid, key].filter(Boolean).join(".");
}
