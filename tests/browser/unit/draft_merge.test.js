import assert from "node:assert/strict";
import { test } from "node:test";

import { mergeDraft, withSettings } from "../../../journal/pages/browser/draft_merge.js";
import { entered, fromOffer } from "../../../journal/pages/browser/form_state.js";
import { aBroken, anOffer, aTask, fieldOf } from "./offers.js";

// Merges a state started from `anOffer()` and changed by `type` with an offer changed by `edit`.
function merged(type, edit) {
  const old = anOffer();
  const newer = anOffer();
  const now = fromOffer(old);
  type(now);
  edit(newer);
  return { ...mergeDraft(old, newer, now), fresh: fromOffer(newer), typed: now };
}

const nothing = () => {};
const fields = ({ conflicts }) => conflicts.map((one) => one.field);

// A field of the page: how to type it, how to change it in the files, and both values.
const SIMPLE = [
  { field: "mood", name: "Mood", type: (now) => { now.fields.mood = 1; }, edit: (offer) => { fieldOf(offer, "mood").value = 5; }, of: (now) => now.fields.mood, mine: 1, theirs: 5 },
  { field: "energy", name: "Energy", type: (now) => { now.fields.energy = 1; }, edit: (offer) => { fieldOf(offer, "energy").value = 5; }, of: (now) => now.fields.energy, mine: 1, theirs: 5 },
  { field: "steps", name: "Steps", type: (now) => { now.fields.steps = "9000"; }, edit: (offer) => { fieldOf(offer, "steps").value = 7000; }, of: (now) => now.fields.steps, mine: "9000", theirs: "7000" },
  { field: "habits.walk", name: "Walk", type: (now) => { now.habits.walk = true; }, edit: (offer) => { offer.habits[0].mark = "rest"; }, of: (now) => now.habits.walk, mine: true, theirs: "rest" },
  { field: "habits.read", name: "Read", type: (now) => { now.habits.read = "30"; }, edit: (offer) => { offer.habits[1].mark = 25; }, of: (now) => now.habits.read, mine: "30", theirs: "25" },
  { field: "challenges.letters", name: "Letters", type: (now) => { now.challenges.letters = true; }, edit: (offer) => { offer.challenges[0].ticked = false; }, of: (now) => now.challenges.letters, mine: true, theirs: false },
  { field: "gratitude", name: "Good things", type: (now) => { now.gratitude = ["Bread", "Rain"]; }, edit: (offer) => { offer.gratitude = ["Bread", "Bus"]; }, of: (now) => now.gratitude, mine: ["Bread", "Rain"], theirs: ["Bread", "Bus"] },
  { field: "memory", name: "One to remember", type: (now) => { now.memory = "mine"; }, edit: (offer) => { offer.memory = "theirs"; }, of: (now) => now.memory, mine: "mine", theirs: "theirs" },
  { field: "notes", name: "Notes", type: (now) => { now.notes = ["mine"]; }, edit: (offer) => { offer.notes = ["theirs"]; }, of: (now) => now.notes, mine: ["mine"], theirs: ["theirs"] },
  { field: "actual", name: "Hours as they went", type: (now) => { now.actual = ["Sleep 00:00-07:00"]; }, edit: (offer) => { offer.actual = { sleep: ["00:00-05:00"] }; }, of: (now) => now.actual, mine: ["Sleep 00:00-07:00"], theirs: ["Sleep 00:00-05:00"] },
  { field: "tomorrow.weather.sky", name: "Sky", type: (now) => { now.tomorrowFields["weather.sky"] = "fog"; }, edit: (offer) => { fieldOf(offer, "tomorrow.weather.sky").value = "sun"; }, of: (now) => now.tomorrowFields["weather.sky"], mine: "fog", theirs: "sun" },
  { field: "tomorrow.weather.high", name: "High, °C", type: (now) => { now.tomorrowFields["weather.high"] = "9"; }, edit: (offer) => { fieldOf(offer, "tomorrow.weather.high").value = 13; }, of: (now) => now.tomorrowFields["weather.high"], mine: "9", theirs: "13" },
  { field: "tomorrow.weather.low", name: "Low, °C", type: (now) => { now.tomorrowFields["weather.low"] = "2"; }, edit: (offer) => { fieldOf(offer, "tomorrow.weather.low").value = 4; }, of: (now) => now.tomorrowFields["weather.low"], mine: "2", theirs: "4" },
  { field: "weather.sky", name: "Sky", type: (now) => { now.plannedFields["weather.sky"] = "rain"; }, edit: (offer) => { fieldOf(offer, "weather.sky").value = "sun"; }, of: (now) => now.plannedFields["weather.sky"], mine: "rain", theirs: "sun" },
  {
    field: "dayAppointments", name: "Appointments of the day",
    type: (now) => { now.dayAppointments = [{ ref: null, title: "mine", start: "", end: "" }]; }, edit: (offer) => { offer.appointments = [{ from: "page", title: "theirs", start: null, end: null }]; },
    of: (now) => now.dayAppointments.map((one) => one.title), mine: ["mine"], theirs: ["theirs"],
  },
  { field: "planned", name: "Hours of tomorrow", type: (now) => { now.planned = []; }, edit: (offer) => { offer.tomorrow.planned = { away: ["09:00-10:00"] }; }, of: (now) => now.planned, mine: [], theirs: ["Away 2 09:00-10:00"] },
  {
    field: "appointments", name: "Appointments of tomorrow",
    type: (now) => { now.appointments = [{ ref: null, title: "mine", start: "", end: "" }]; }, edit: (offer) => { offer.tomorrow.appointments = [{ from: "page", title: "theirs", start: null, end: null }]; },
    of: (now) => now.appointments.map((one) => one.title), mine: ["mine"], theirs: ["theirs"],
  },
  { field: "tasks.Quote.what", name: "Quote, what becomes of it", type: (now) => { now.tasks[0].what = "drop"; }, edit: (offer) => { offer.tasks[0].status = "done"; }, of: (now) => now.tasks[0].what, mine: "drop", theirs: "done" },
  { field: "tasks.Quote.took", name: "Quote, minutes it took", type: (now) => { now.tasks[0].took = "30"; }, edit: (offer) => { offer.tasks[0].took = 60; }, of: (now) => now.tasks[0].took, mine: "30", theirs: "60" },
  { field: "next.Corners.estimate", name: "Corners, minutes for it", type: (now) => { now.next[1].estimate = "30"; }, edit: (offer) => { offer.tomorrow.tasks[0].estimate = 60; }, of: (now) => now.next.find((one) => one.title === "Corners").estimate, mine: "30", theirs: "60" },
  { field: "next.Corners.rank", name: "Corners, rank", type: (now) => { now.next[1].rank = null; }, edit: (offer) => { offer.tomorrow.tasks[0].rank = 3; }, of: (now) => now.next.find((one) => one.title === "Corners").rank, mine: null, theirs: 3 },
];

test("without input the result is the newer offer", () => {
  const { now, conflicts, fresh } = merged(nothing, (offer) => SIMPLE.forEach(({ edit }) => edit(offer)));
  assert.deepEqual(now, fresh);
  assert.deepEqual(conflicts, []);
});

test("without changes in the files the result is the input", () => {
  const { now, conflicts, typed } = merged((page) => SIMPLE.forEach(({ type }) => type(page)), nothing);
  assert.deepEqual(now, typed);
  assert.deepEqual(conflicts, []);
});

test("each field: changed on one side only", () => {
  for (const { field, type, edit, of, mine, theirs } of SIMPLE) {
    const here = merged(type, nothing);
    assert.deepEqual([of(here.now), here.conflicts], [mine, []], `${field}, typed alone`);
    const there = merged(nothing, edit);
    assert.deepEqual([of(there.now), there.conflicts], [theirs, []], `${field}, edited alone`);
  }
});

test("each field: changed on both sides, the input stays and the other value is reported", () => {
  for (const { field, name, type, edit, of, mine, theirs } of SIMPLE) {
    const { now, conflicts } = merged(type, edit);
    assert.deepEqual(of(now), mine, field);
    assert.deepEqual(conflicts.map((one) => [one.field, one.name]), [[field, name]]);
    conflicts[0].take(conflicts[0].theirs);
    assert.deepEqual(of(now), theirs, `${field}, taken from the file`);
  }
});

test("both sides of a conflict are reported as shown on the page", () => {
  for (const { field, type, edit } of SIMPLE.filter((one) => !/ppointments$/.test(one.field))) {
    const { conflicts: [one] } = merged(type, edit);
    const { mine, theirs } = SIMPLE.find((other) => other.field === field);
    assert.deepEqual([one.yours, one.theirs], [mine, theirs], field);
  }
});

test("the same change on both sides is no conflict", () => {
  const same = merged((now) => { now.fields.mood = 4; now.memory = "m"; now.habits.walk = true; now.tasks[0].took = "60"; }, (offer) => {
    fieldOf(offer, "mood").value = 4;
    offer.memory = "m";
    offer.habits[0].mark = true;
    offer.tasks[0].took = 60;
  });
  assert.deepEqual(same.conflicts, []);
  assert.deepEqual(same.now, same.fresh);
});

test("changes in different fields come together", () => {
  const { now, conflicts } = merged((page) => { page.fields.mood = 1; page.tomorrowFields["weather.high"] = "9"; page.tasks[0].what = "done"; }, (offer) => {
    offer.memory = "theirs";
    fieldOf(offer, "tomorrow.weather.low").value = 4;
    offer.tasks[1].status = "done";
    offer.tasks[0].took = 60;
  });
  assert.deepEqual(conflicts, []);
  assert.deepEqual([now.fields.mood, now.memory, now.tomorrowFields["weather.high"], now.tomorrowFields["weather.low"]], [1, "theirs", "9", "4"]);
  assert.deepEqual(now.tasks.map((one) => [one.what, one.took]), [["done", "60"], ["done", ""]]);
});

test("conflicts come in the order of the page, all of them", () => {
  const all = merged((now) => SIMPLE.forEach(({ type }) => type(now)), (offer) => SIMPLE.forEach(({ edit }) => edit(offer)));
  assert.deepEqual(fields(all).sort(), SIMPLE.map((one) => one.field).sort());
  assert.deepEqual(fields(all).slice(0, 3), ["mood", "energy", "steps"]);
});

test("an empty line before another is no change: it asks nothing, and the lines stay where they are", () => {
  const down = (page) => { page.gratitude = ["", "Bread"]; page.memory = "mine"; };
  const { now, conflicts } = merged(down, (offer) => { offer.gratitude = ["Bread", "Bus"]; });
  assert.deepEqual([now.gratitude, now.memory, conflicts], [["Bread", "Bus"], "mine", []]);
  assert.deepEqual(merged(down, nothing).now.gratitude, ["", "Bread"]);
  const both = merged((page) => { page.gratitude = ["", "Bread", "Rain"]; }, (offer) => { offer.gratitude = ["Bus"]; });
  assert.deepEqual([both.now.gratitude, both.conflicts[0].yours, both.conflicts[0].theirs], [["", "Bread", "Rain"], ["Bread", "Rain"], ["Bus"]]);
  both.conflicts[0].take(both.conflicts[0].theirs);
  assert.deepEqual(both.now.gratitude, ["Bus", ""]);
});

test("the arguments are not changed", () => {
  const [old, newer] = [anOffer(), anOffer()];
  newer.tomorrow.tasks.push(aTask("n9", "New"));
  const now = fromOffer(old);
  now.next.push({ ...aTask(null, "Typed"), ref: null, id: null });
  const before = JSON.stringify([old, newer, now]);
  const { now: result } = mergeDraft(old, newer, now);
  result.tasks[0].what = "drop";
  result.next.find((one) => one.title === "Typed").estimate = "1";
  assert.equal(JSON.stringify([old, newer, now]), before);
});

test("a habit or challenge that is new in the offer is taken over, one that is gone is left out", () => {
  const { now, conflicts } = merged((page) => { page.habits.walk = true; page.challenges.letters = true; }, (offer) => {
    offer.habits = [offer.habits[1], { key: "swim", name: "Swim", kind: "plain", mark: true }];
    offer.challenges = [{ key: "knots", name: "Knots", ticked: true }];
  });
  assert.deepEqual(now.habits, { read: "12", swim: true });
  assert.deepEqual(now.challenges, { knots: true });
  assert.deepEqual(conflicts, []);
});

test("a task that is not added yet stays in its field, and in a draft of an earlier version there is none", () => {
  const type = (page) => { page.adding = { did: "Swept", task: "Sew", minutes: "40" }; };
  assert.deepEqual(merged(type, (offer) => { offer.memory = "theirs"; }).now.adding, { did: "Swept", task: "Sew", minutes: "40" });
  assert.deepEqual(merged((page) => { delete page.adding; }, nothing).now.adding, { did: "", task: "", minutes: "" });
});

test("a task that was typed here is added to those of the files", () => {
  const { now, conflicts } = merged(
    (page) => { page.next.push({ ref: null, id: null, title: "Typed", rank: 3, estimate: "10", from: "new", source_ref: null }); page.tasks.push({ ref: null, title: "Done too", what: "done", to: null, took: "5" }); },
    (offer) => { offer.tomorrow.tasks.push({ ...aTask("n9", "From outside"), rank: null }); },
  );
  assert.deepEqual(now.next.map((one) => one.title), ["Glue", "Corners", "Typed", "From outside"]);
  assert.deepEqual(now.tasks.map((one) => one.title), ["Quote", "Invoice", "Done too"]);
  assert.deepEqual(conflicts, []);
});

test("a task typed here and since added to the files is there once, as typed", () => {
  const { now, conflicts } = merged(
    (page) => { page.next.push({ ref: null, id: null, title: "Typed", rank: 3, estimate: "10", from: "new", source_ref: null }); },
    (offer) => { offer.tomorrow.tasks.push({ ...aTask("n9", "Typed"), rank: null, estimate: 20 }); },
  );
  const typed = now.next.filter((one) => one.title === "Typed");
  assert.deepEqual(typed.map((one) => [one.ref, one.rank, one.estimate]), [["n9", 3, "10"]]);
  assert.deepEqual(conflicts, []);
});

test("a task removed from the files is gone, with its input", () => {
  const { now, conflicts } = merged((page) => { page.tasks[0].what = "done"; }, (offer) => { offer.tasks.splice(0, 1); });
  assert.deepEqual(now.tasks.map((one) => one.title), ["Invoice"]);
  assert.deepEqual(conflicts, []);
});

test("a task reworded in the files keeps its input, by its id", () => {
  const { now, conflicts } = merged((page) => { page.tasks[0].what = "done"; }, (offer) => { offer.tasks[0].title = "Quote, smaller"; });
  assert.deepEqual(now.tasks.map((one) => [one.title, one.what]), [["Quote, smaller", "done"], ["Invoice", "open"]]);
  assert.deepEqual(conflicts, []);
});

test("a task without an id is matched by its title", () => {
  const [old, newer] = [anOffer(), anOffer()];
  for (const offer of [old, newer]) offer.tasks = [aTask("row-0", "Plain", { id: null })];
  newer.tasks[0].ref = "row-7";
  const now = fromOffer(old);
  now.tasks[0].took = "15";
  const { now: result } = mergeDraft(old, newer, now);
  assert.deepEqual(result.tasks.map((one) => [one.ref, one.title, one.took]), [["row-7", "Plain", "15"]]);
});

test("tomorrow's tasks are sorted by rank after a merge", () => {
  const { now } = merged((page) => { page.next[0].rank = null; }, (offer) => { offer.tomorrow.tasks.push({ ...aTask("n9", "New"), rank: 1 }); });
  assert.deepEqual(now.next.map((one) => [one.title, one.rank]), [["New", 1], ["Corners", 2], ["Glue", null]]);
});

test("the day a task was moved to follows with it", () => {
  const { now } = merged((page) => Object.assign(page.tasks[0], { what: "move", to: "2025-04-01" }), nothing);
  assert.deepEqual([now.tasks[0].what, now.tasks[0].to], ["move", "2025-04-01"]);
});

test("sharing ticked here applies to the same memory only", () => {
  const share = (now) => { now.memory = "mine"; now.share = true; };
  assert.equal(merged(share, nothing).now.share, true);
  assert.equal(merged(share, (offer) => { fieldOf(offer, "mood").value = 5; }).now.share, true);
  const ticked = (now) => { now.share = true; };
  assert.equal(merged(ticked, (offer) => { offer.memory = "theirs"; }).now.share, false);
});

test("sharing ticked in the files applies to the memory of the files only", () => {
  const edit = (offer) => { offer.memory = "theirs"; offer.share = true; };
  assert.equal(merged(nothing, edit).now.share, true);
  assert.equal(merged((now) => { now.memory = "mine"; }, edit).now.share, false);
});

test("sharing ticked from the start stays, whatever the memory", () => {
  const [old, newer] = [anOffer({ memory: "m", share: true }), anOffer({ memory: "theirs", share: true })];
  assert.equal(mergeDraft(old, newer, fromOffer(old)).now.share, true);
  assert.equal(mergeDraft(old, old, { ...fromOffer(old), memory: "mine" }).now.share, true);
});

test("as planned stays ticked while the hours come from the plan", () => {
  const tick = (now) => { now.asPlanned = true; };
  assert.equal(merged(tick, nothing).now.asPlanned, true);
  assert.equal(merged(tick, (offer) => { offer.actual_from_plan = false; }).now.asPlanned, false);
  assert.equal(merged(nothing, nothing).now.asPlanned, false);
});

test("a part whose file cannot be read any more keeps what is entered, and nothing asks about it", () => {
  const broken = (part) => merged((now) => SIMPLE.forEach(({ type }) => type(now)), (offer) => {
    offer.broken = [aBroken(part)];
    if (part === "today") Object.assign(offer, { gratitude: [], tasks: [], appointments: [] });
    else Object.assign(offer, { fields: [], habits: [], challenges: [] });
  });
  for (const part of ["today", "settings"]) {
    const { now, conflicts, typed } = broken(part);
    assert.deepEqual(conflicts, []);
    for (const key of ["fields", "habits", "challenges", "actual"]) assert.deepEqual(now[key], typed[key], `${part} ${key}`);
    if (part === "today") assert.deepEqual([now.gratitude, now.tasks, now.dayAppointments], [typed.gratitude, typed.tasks, typed.dayAppointments]);
  }
});

test("what was entered without journal.toml is there when it can be read again", () => {
  const old = anOffer({ fields: [], habits: [], challenges: [], broken: [aBroken("settings")] });
  const now = { ...fromOffer(old), fields: { mood: 1 }, habits: { walk: true }, challenges: { letters: true } };
  const merge = mergeDraft(old, anOffer(), now);
  assert.deepEqual([merge.now.fields.mood, merge.now.fields.energy, merge.now.habits, merge.now.challenges], [1, 3, { walk: true, read: "12" }, { letters: true }]);
  assert.deepEqual(fields(merge), []);
});

test("a plan of a day that is over is dropped, and its added tasks go to today without a rank", () => {
  const { now, conflicts } = merged(
    (page) => {
      page.next.push({ ref: null, title: "Sew", rank: 3, estimate: "", from: "new" });
      page.planned = ["Sleep 21:00-24:00"];
      page.tomorrowFields["weather.sky"] = "snow";
      page.adding = { did: "Swept", task: "Glue the hinge ", minutes: "40" }; // not added yet, and its field is gone
    },
    (offer) => Object.assign(offer.tomorrow, { day: "2025-03-16", asks: "carry", tasks: [aTask("n9", "Fold")] }),
  );
  assert.deepEqual(now.next.map((task) => [task.title, task.rank, task.estimate]), [["Fold", null, ""], ["Sew", null, ""], ["Glue the hinge", null, "40"]]);
  assert.deepEqual(now.adding, { did: "Swept", task: "", minutes: "" });
  assert.deepEqual([now.plan, now.tomorrowFields["weather.sky"], now.planned.includes("Sleep 21:00-24:00"), conflicts], [false, "cloudy", false, []]);
});

// The pages as they were, and journal.toml with other usual hours.
function afterSettings(type, again = {}) {
  const old = anOffer();
  const newer = anOffer({ actual: { sleep: ["00:00-05:00"] }, ...again }, { planned: { sleep: ["21:00-24:00"] } });
  const now = fromOffer(old);
  type(now);
  return { newer, now: withSettings(old, newer, now) };
}

test("usual hours that changed meanwhile are offered anew, and what nobody touched is not sent as entered", () => {
  const { newer, now } = afterSettings((typed) => { typed.memory = "Sewn."; typed.habits.gone = true; });
  const sent = entered(newer, now);
  assert.deepEqual([sent.actual, sent.memory, now.habits.gone], [sent.actual_offered, "Sewn.", true]);
  assert.deepEqual(sent.tomorrow.planned, { sleep: ["21:00-24:00"] });
  const typed = afterSettings((now) => { now.actual = ["Sleep 00:00-06:00"]; now.planned = []; });
  assert.deepEqual([typed.now.actual, typed.now.planned], [["Sleep 00:00-06:00"], []]);
});

test("usual hours that could not be read for a while are not entered by that", () => {
  const [old, mended] = [anOffer(), anOffer({ actual: { sleep: ["00:00-05:00"] } }, { planned: {} })];
  const unreadable = anOffer({ actual: {}, broken: [aBroken("settings")] }, { planned: {} });
  const during = mergeDraft(old, unreadable, fromOffer(old)).now;
  const sent = entered(mended, mergeDraft(unreadable, mended, during).now);
  assert.deepEqual([sent.actual, sent.tomorrow.planned], [sent.actual_offered, sent.tomorrow.planned_offered]);
  const typed = { ...fromOffer(old), actual: ["Sleep 00:00-06:00"] };
  const kept = mergeDraft(unreadable, mended, mergeDraft(old, unreadable, typed).now).now;
  assert.deepEqual(kept.actual, ["Sleep 00:00-06:00"]);
});
