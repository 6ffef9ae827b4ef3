import assert from "node:assert/strict";
import { test } from "node:test";

import { capacityQuery, entered, fromOffer, isBroken, isChanged, same } from "../../../journal/pages/browser/form_state.js";
import { aBroken, anOffer, aTask } from "./offers.js";

const whatOf = (task, ofTomorrow) => fromOffer(anOffer({ tasks: [task] }, { tasks: [], ...ofTomorrow })).tasks[0].what;

test("a page that was only opened is not changed, and empty lines change nothing", () => {
  const offer = anOffer();
  const now = fromOffer(offer);
  assert.equal(isChanged(offer, now), false);
  for (const key of ["gratitude", "notes", "actual", "planned"]) now[key].push("  ");
  assert.equal(isChanged(offer, now), false);
});

test("a task that is not added yet is a change, its minutes alone are none, and a draft of an earlier version is read", () => {
  const offer = anOffer();
  const now = fromOffer(offer);
  now.adding.minutes = "40";
  assert.equal(isChanged(offer, now), false);
  for (const key of ["did", "task"]) assert.equal(isChanged(offer, { ...now, adding: { ...now.adding, [key]: "Sew" } }), true, key);
  delete now.adding;
  assert.equal(isChanged(offer, now), false);
});

test("every field counts as a change", () => {
  const changes = {
    fields: {}, habits: {}, challenges: {}, gratitude: [], memory: "x", share: true, notes: ["x"], actual: [], asPlanned: true, tasks: [],
    plannedFields: {}, dayAppointments: [{}], plan: false, tomorrowFields: {}, appointments: [{}], planned: [], next: [], setAside: [{ title: "x" }],
    adding: { did: "", task: "x", minutes: "" },
  };
  const offer = anOffer();
  assert.deepEqual(Object.keys(changes).sort(), Object.keys(fromOffer(offer)).sort());
  for (const [key, value] of Object.entries(changes)) assert.equal(isChanged(offer, { ...fromOffer(offer), [key]: value }), true, key);
});

test("the page does not write into its offer", () => {
  const offer = anOffer();
  const before = JSON.stringify(offer);
  const now = fromOffer(offer);
  now.gratitude.push("x");
  now.notes.push("x");
  now.tasks[0].what = "done";
  now.next[0].rank = 3;
  now.tomorrowFields["weather.sky"] = "x";
  assert.equal(JSON.stringify(offer), before);
});

test("good things have as many lines as the journal asks for, and more where more are written", () => {
  assert.deepEqual(fromOffer(anOffer()).gratitude, ["Bread", ""]);
  assert.deepEqual(fromOffer(anOffer({ gratitude: ["a", "b", "c"] })).gratitude, ["a", "b", "c"]);
});

test("marks stand as they are typed: a count as text, all others as they are", () => {
  const habits = [
    { key: "a", kind: "counted", mark: 12.5 }, { key: "b", kind: "counted", mark: "rest" }, { key: "c", kind: "counted", mark: true },
    { key: "d", kind: "plain", mark: true }, { key: "e", kind: "plain", mark: null },
  ];
  assert.deepEqual(fromOffer(anOffer({ habits })).habits, { a: "12.5", b: "rest", c: true, d: true, e: null });
});

test("appointments of the page can be typed, by the journal's clock; those of a calendar cannot", () => {
  const appointments = [
    { from: "page", ref: "a1", title: "Merchant", start: "08:30", end: "13:00" },
    { from: "page", title: "No time", start: null, end: null },
    { from: "page", title: "Odd", start: "7ish", end: "" },
    { from: "calendar", title: "Fair", start: "10:00", end: "11:00" },
  ];
  const typed = (clock) => fromOffer(anOffer({ clock }, { appointments })).appointments.map((one) => [one.ref, one.title, one.start, one.end]);
  assert.deepEqual(typed(24), [["a1", "Merchant", "08:30", "13:00"], [null, "No time", "", ""], [null, "Odd", "7ish", ""]]);
  assert.deepEqual(typed(12), [["a1", "Merchant", "8:30 am", "1:00 pm"], [null, "No time", "", ""], [null, "Odd", "7ish", ""]]);
});

test("outcomes of a task", () => {
  const carried = aTask("t1", "Quote", { status: "carried" });
  assert.equal(whatOf(aTask("t1", "Quote")), "open");
  assert.equal(whatOf(aTask("t1", "Quote", { status: "done" })), "done");
  assert.equal(whatOf(aTask("t1", "Quote", { status: "dropped" })), "drop");
  assert.equal(whatOf(carried, { tasks: [{ ...aTask("n1", "Quote"), source_ref: "t1" }] }), "carry");
  assert.equal(whatOf(carried, { undated: [aTask("t1", "Other words")] }), "undated");
  assert.equal(whatOf(carried, { undated: [aTask("u9", "Quote")] }), "undated");
  assert.equal(whatOf(carried, { undated: [aTask("u9", "Quote", { since: "2025-01-01" })] }), "away");
  assert.equal(whatOf(carried), "away");
});

test("tomorrow's tasks stand by rank, with their minutes as text", () => {
  assert.deepEqual(fromOffer(anOffer()).next.map((one) => [one.title, one.rank, one.estimate, one.from]), [["Glue", 1, "", "page"], ["Corners", 2, "45", "page"]]);
});

test("an unchanged page sends its offer", () => {
  const offer = anOffer();
  assert.deepEqual(entered(offer, fromOffer(offer)), {
    base: "base-1", day: "2025-03-13", mood: null, energy: 3, steps: 8000, weather: { sky: "fog", high: 9 }, appointments: [], habits: { walk: null, read: 12 }, challenges: { letters: null },
    gratitude: ["Bread"], memory: "", share: false, notes: [], actual: { sleep: ["00:00-06:15"] }, actual_offered: { sleep: ["00:00-06:15"] }, actual_as_planned: false,
    tasks: [{ ref: "t1", title: "Quote", what: "open", to: null, took: null }, { ref: "t2", title: "Invoice", what: "open", to: null, took: null }],
    tomorrow: {
      weather: { sky: "cloudy", high: 11, low: null }, appointments: [],
      planned: { workshop: ["09:00-12:30", "13:30-17:00"], sleep: ["22:30-24:00"] },
      planned_offered: { workshop: ["09:00-12:30", "13:30-17:00"], sleep: ["22:30-24:00"] },
      tasks: [
        { ref: "n2", title: "Glue", rank: 1, estimate: null, from: "page", source_ref: null },
        { ref: "n1", title: "Corners", rank: 2, estimate: 45, from: "page", source_ref: null },
      ],
      set_aside: [],
    },
  });
});

test("without journal.toml no hours are sent, and a day that is folded away gets none that nobody touched", () => {
  const settings = anOffer({ broken: [aBroken("settings")] });
  const sent = entered(settings, fromOffer(settings));
  assert.deepEqual([sent.actual, sent.actual_as_planned, sent.tomorrow.planned], [undefined, undefined, undefined]);
  const offer = anOffer({ broken: [] });
  const now = { ...fromOffer(offer), plan: false };
  assert.equal(entered(offer, now).tomorrow.planned, undefined);
  now.planned = ["Sleep 22:00-24:00"];
  assert.deepEqual(entered(offer, now).tomorrow.planned, { sleep: ["22:00-24:00"] });
  assert.equal(fromOffer(anOffer({}, { asks: "carry" })).plan, false);
  assert.deepEqual(["today", "tomorrow", "undated", "settings"].filter((part) => isBroken(settings, part)), ["settings"]);
});

test("text is trimmed and empty lines are dropped; invalid numbers are sent as typed", () => {
  const offer = anOffer();
  const now = fromOffer(offer);
  Object.assign(now, { gratitude: [" a ", "", " "], notes: ["", "b "], memory: " m " });
  now.habits.read = " 3,5";
  now.tasks[0].took = " an hour ";
  now.tomorrowFields = { "weather.sky": " fog ", "weather.high": "9,5", "weather.low": "cold" };
  now.next[0].estimate = "20";
  const sent = entered(offer, now);
  assert.deepEqual([sent.gratitude, sent.notes, sent.memory, sent.habits.read], [["a"], ["b"], "m", 3.5]);
  assert.equal(sent.tasks[0].took, "an hour");
  assert.deepEqual(sent.tomorrow.weather, { sky: "fog", high: 9.5, low: "cold" });
  assert.equal(sent.tomorrow.tasks[0].estimate, 20);
});

test("a rest of a counted habit is a rest, and text in a plain one goes as it is", () => {
  const offer = anOffer();
  const now = fromOffer(offer);
  Object.assign(now.habits, { read: "rest", walk: "rest" });
  assert.deepEqual(entered(offer, now).habits, { walk: "rest", read: "rest" });
});

test("an empty memory is not shared", () => {
  const offer = anOffer();
  const sharing = (memory, share) => entered(offer, { ...fromOffer(offer), memory, share }).share;
  assert.deepEqual([sharing("m", true), sharing(" ", true), sharing("m", false)], [true, false, false]);
});

test("appointments are sent by the 24-hour clock, empty rows not at all", () => {
  const offer = anOffer({ clock: 12 });
  const appointments = [
    { ref: "a1", title: " Merchant ", start: "8:30 am", end: "1 pm" }, { ref: null, title: " ", start: " ", end: " " },
    { ref: null, title: "", start: " 7ish ", end: "" }, { ref: null, title: "", start: "", end: "9" },
  ];
  assert.deepEqual(entered(offer, { ...fromOffer(offer), appointments }).tomorrow.appointments, [
    { ref: "a1", title: "Merchant", start: "08:30", end: "13:00" }, { ref: null, title: "", start: "7ish", end: null }, { ref: null, title: "", start: null, end: "09:00" },
  ]);
});

test("a task that was typed in is sent without a reference", () => {
  const offer = anOffer();
  const now = fromOffer(offer);
  now.tasks = [{ title: "Done too", what: "done", to: null, took: "" }];
  now.next = [{ ref: null, title: "Typed", rank: null, estimate: "", from: "new" }];
  const { tasks, tomorrow } = entered(offer, now);
  assert.deepEqual([tasks[0].ref, tomorrow.tasks[0].ref, tomorrow.tasks[0].rank, tomorrow.tasks[0].source_ref], [null, null, null, null]);
});

test("the sent outcome of a task", () => {
  const offer = anOffer();
  const going = (change) => {
    const now = fromOffer(offer);
    Object.assign(now.tasks[0], change);
    const { what, to } = entered(offer, now).tasks[0];
    return [what, to];
  };
  assert.deepEqual(going({ what: "move", to: "2025-04-01" }), ["move", "2025-04-01"]);
  assert.deepEqual(going({ what: "drop", to: "2025-04-01" }), ["drop", null]);
  assert.deepEqual(going({ what: "carry" }), ["carry", null]);
  assert.deepEqual(going({ what: "away", away: true }), ["carry", null]);
  assert.deepEqual(going({ what: "carry", away: true }), ["move", "2025-03-14"]);
});

test("the parameters of 'will it fit'", () => {
  const offer = anOffer({}, { appointments: [{ from: "calendar", title: "Fair", start: "10:00", end: "11:00" }, { from: "page", title: "Merchant", start: "08:30", end: "" }] });
  const now = fromOffer(offer);
  now.next[0].estimate = "many";
  const asked = capacityQuery(offer, now);
  assert.deepEqual([asked.base, asked.day, asked.estimates], ["base-1", "2025-03-13", [null, 45]]);
  assert.deepEqual(asked.tasks.map((one) => one.title), ["Glue", "Corners"]);
  assert.deepEqual(asked.appointments.map((one) => [one.title, one.start]), [["Fair", "10:00"], ["Merchant", "08:30"]]);
  assert.deepEqual(asked.planned.sleep, ["22:30-24:00"]);
});

test("values are compared by content", () => {
  assert.equal(same({ a: [1, null] }, { a: [1, null] }), true);
  assert.equal(same([1], [2]), false);
  assert.equal(same(null, ""), false);
});
