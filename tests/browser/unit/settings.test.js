import assert from "node:assert/strict";
import { test } from "node:test";

import { mergeSettings } from "../../../journal/pages/browser/settings_merge.js";
import { enteredSettings, fromSettings, isSettingsChanged, keyOf, newRow, renamedLines, settingPlace, settledCategories, stripCategories } from "../../../journal/pages/browser/settings_state.js";

const copy = (value) => JSON.parse(JSON.stringify(value));
const SCHEDULE = { pattern: "day", interval: 1, weekdays: [], ordinals: [], month_days: [], last_day: false, month: null, times: null, per: "week", weeks_from: "MO", rule: "FREQ=DAILY" };
const field = (key, control = "text") => ({ key, label: key, control, options: [] });
const habit = (key, name, more = {}) => ({ ref: `${key} 2025-01-01`, values: { key, name, from: "2025-01-01", until: "", ...more }, schedule: copy(SCHEDULE), due: "", rule_words: "", hangs: "" });
const category = (key, name) => ({ ref: key, values: { key, name, colour: "", sleep: key === "sleep" }, schedule: null, hangs: "" });

function offer(change = () => {}) {
  const made = {
    base: "base", clock: 24, today: "2025-03-13", colours: { sleep: "#332288" },
    controls: { title: field("title"), "day.turns": field("turns", "time") },
    singles: { title: "Thread", "day.turns": "04:00" },
    lists: {
      habits: { noun: "habit", name_key: "name", fields: [field("name"), field("from"), field("until"), field("key")], blank: { key: "", name: "", from: "2025-03-13", until: "" }, blank_schedule: { ...SCHEDULE, rule: "" }, rows: [habit("walk", "Walk"), habit("read", "Read"), habit("swim", "Swim")] },
      categories: { noun: "category", name_key: "name", fields: [field("name"), field("key")], blank: { key: "", name: "", colour: "", sleep: false }, blank_schedule: null, rows: [category("sleep", "Sleep"), category("work", "Work")] },
    },
    strips: { usual: { sleep: ["22:30-24:00", "00:00-06:00"], work: ["09:00-12:00"] }, monday: null, sunday: { sleep: ["00:00-08:00"] } },
  };
  change(made);
  return made;
}

const names = (now) => now.lists.habits.map(({ values }) => values.name);
const told = (conflicts) => conflicts.map(({ name, yours, theirs }) => [name, yours, theirs]);

test("what nobody touched is sent as it was offered", () => {
  const page = offer((made) => { made.clock = 12; });
  const now = fromSettings(page);
  assert.equal(now.singles["day.turns"], "4:00 am");
  assert.equal(isSettingsChanged(page, now), false);
  const sent = enteredSettings(page, now);
  assert.deepEqual(sent.singles, page.singles);
  assert.deepEqual(sent.strips, {});
  assert.deepEqual(sent.lists.habits[0], { ref: "walk 2025-01-01", values: page.lists.habits.rows[0].values });
  now.singles["day.turns"] = "5 am";
  assert.equal(enteredSettings(page, now).singles["day.turns"], "05:00");
});

test("schedules and strips are sent when they changed", () => {
  const page = offer();
  const now = fromSettings(page);
  now.lists.habits[0].schedule.pattern = "days";
  now.lists.habits[0].schedule.interval = "2";
  now.strips.sunday = null;
  now.strips.monday = ["Sleep 0:00-7:00", "7ish"];
  const sent = enteredSettings(page, now);
  assert.deepEqual(sent.lists.habits[0].schedule, { pattern: "days", rule: "FREQ=DAILY", weeks_from: "MO", interval: 2 });
  assert.equal("schedule" in sent.lists.habits[1], false);
  assert.deepEqual(sent.strips, { sunday: null, monday: { sleep: ["00:00-07:00"] } });
});

test("a new row has the blank values, and a name of its own on the page", () => {
  const page = offer();
  const now = fromSettings(page);
  now.lists.habits.push(newRow(page, now, "habits"));
  now.lists.habits.push(newRow(page, now, "habits", { key: "walk" }, now.lists.habits[0].schedule));
  assert.deepEqual(now.lists.habits.slice(3).map(({ uid, ref, values }) => [uid, ref, values.key]), [["n0", null, ""], ["n1", null, "walk"]]);
  assert.equal(now.lists.habits[4].schedule.rule, "");
  assert.equal(keyOf("Café au lait!", []), "cafe-au-lait");
  assert.equal(keyOf("散歩", ["category"]), "category-2");
});

test("lines follow a category that gets another name, and wait while it has none of its own", () => {
  const page = offer();
  const now = fromSettings(page);
  const before = stripCategories(page, now);
  const rename = (name) => {
    now.lists.categories[1].values.name = name;
    const after = settledCategories(page, now, before);
    return renamedLines(now.strips.usual, before, after, 24);
  };
  assert.deepEqual(rename("Bench"), ["Sleep 00:00-06:00", "Bench 09:00-12:00", "Sleep 22:30-24:00"]);
  for (const name of ["", "Sleep", "sleep "]) assert.deepEqual(rename(name), ["Sleep 00:00-06:00", "Work 09:00-12:00", "Sleep 22:30-24:00"]);
});

test("problems are placed at rows and lines", () => {
  const page = offer();
  const now = fromSettings(page);
  now.lists.habits.splice(0, 1);
  assert.equal(settingPlace("habits.0.every", page, now), "habits.r1.schedule.pattern");
  assert.equal(settingPlace("habits.1.schedule.weekdays", page, now), "habits.r2.schedule.weekdays");
  assert.equal(settingPlace("habits", page, now), "habits");
  assert.equal(settingPlace("day.turns", page, now), "day.turns");
  assert.equal(settingPlace("hours.usual.sleep.1", page, now), "hours.usual.line.2");
});

test("what one side changed is taken from it", () => {
  const old = offer();
  const now = fromSettings(old);
  now.singles.title = "Mine";
  now.lists.habits[0].values.name = "Stroll";
  now.lists.habits.push(newRow(old, now, "habits", { name: "New" }));
  now.lists.habits.splice(2, 1);
  now.strips.monday = ["Sleep 00:00-07:00"];
  const newer = offer((made) => {
    made.singles["day.turns"] = "05:00";
    made.lists.habits.rows[1].values.name = "Read a book";
    made.lists.habits.rows.splice(1, 0, habit("sew", "Sew"));
    made.lists.categories.rows[0].values.name = "Bed";
    made.strips.sunday = null;
  });
  const { now: merged, conflicts } = mergeSettings(old, newer, now);
  assert.deepEqual(conflicts, []);
  assert.deepEqual(merged.singles, { title: "Mine", "day.turns": "05:00" });
  assert.deepEqual(names(merged), ["Stroll", "Sew", "Read a book", "New"]);
  assert.equal(merged.strips.sunday, null);
  assert.deepEqual(merged.strips.monday, ["Bed 00:00-07:00"]);
});

test("what both changed is asked for", () => {
  const old = offer();
  const now = fromSettings(old);
  now.singles.title = "Mine";
  Object.assign(now.lists.habits[0].schedule, { pattern: "weekdays", interval: "2", weekdays: ["FR", "MO"] });
  now.lists.habits.splice(1, 1);
  now.strips.usual = ["Sleep 00:00-07:00"];
  const newer = offer((made) => {
    made.singles.title = "Theirs";
    Object.assign(made.lists.habits.rows[0].schedule, { pattern: "quota", times: 3 });
    made.lists.habits.rows[1].values.until = "2025-06-30";
    made.strips.usual = { sleep: ["00:00-06:30"] };
  });
  const { now: merged, conflicts } = mergeSettings(old, newer, now);
  assert.deepEqual(told(conflicts).map(([name]) => name), ["title", "Walk, when it is due", "Read", "Hours, usual"]);
  assert.deepEqual(told(conflicts)[0], ["title", "Mine", "Theirs"]);
  assert.deepEqual(told(conflicts)[1].slice(1), ["on days of the week · every 2 weeks · Monday, Friday", "a number of times, on any days · 3 times a week"]);
  assert.deepEqual(told(conflicts)[2], ["Read", "taken out", "changed"]);
  assert.deepEqual(names(merged), ["Walk", "Swim"]);
  conflicts.forEach(({ take }) => take());
  assert.equal(merged.singles.title, "Theirs");
  assert.equal(merged.lists.habits[0].schedule.pattern, "quota");
  assert.deepEqual(names(merged), ["Walk", "Read", "Swim"]);
  assert.deepEqual(merged.strips.usual, ["Sleep 00:00-06:30"]);
});

test("a row that is gone there stays if something was typed in it, and one moved here moves", () => {
  const old = offer();
  const now = fromSettings(old);
  now.lists.habits[2].values.name = "Swim far";
  const gone = offer((made) => made.lists.habits.rows.splice(1, 2));
  assert.deepEqual(names(mergeSettings(old, gone, now).now), ["Walk", "Swim far"]);
  const moved = fromSettings(old);
  moved.lists.habits.reverse();
  const added = offer((made) => made.lists.habits.rows.push(habit("sew", "Sew")));
  assert.deepEqual(names(mergeSettings(old, added, moved).now), ["Swim", "Read", "Walk", "Sew"]);
});

test("a row that this page has just added is not added again", () => {
  const old = offer();
  const now = fromSettings(old);
  now.lists.habits.push(newRow(old, now, "habits", { name: "Sew" }));
  const saved = offer((made) => made.lists.habits.rows.push({ ...habit("sew", "Sew"), values: { key: "sew", name: "Sew", from: "2025-03-13", until: "" } }));
  const { now: merged } = mergeSettings(old, saved, now);
  assert.deepEqual(names(merged), ["Walk", "Read", "Swim", "Sew"]);
  assert.equal(merged.lists.habits[3].values.key, "sew");
});
