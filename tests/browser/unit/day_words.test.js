import assert from "node:assert/strict";
import { test } from "node:test";

import { conflictName, conflictValue, isClosing, nowText, planRows, shownRange } from "../../../journal/pages/browser/day_words.js";
import { CATEGORIES } from "./offers.js";

const planned = { sleep: ["00:00-06:15", "22:30-24:00"], workshop: ["09:00-12:30", "12:30-17:00"] };
const offer = (change = {}) => ({ kind: "today", clock: 24, categories: CATEGORIES, planned, closes: 1020, closed: false, tasks: [], appointments: [], habits: [], challenges: [], ...change });

test("what is planned now, and what comes then", () => {
  const texts = {
    0: "It is 00:00: Sleep until 06:15, then Workshop from 09:00.",
    [7 * 60]: "It is 07:00: nothing planned until Workshop at 09:00.",
    [12 * 60]: "It is 12:00: Workshop until 12:30, then Workshop from 12:30.",
    [13 * 60]: "It is 13:00: Workshop until 17:00, then Sleep from 22:30.",
    [23 * 60]: "It is 23:00: Sleep until midnight.",
    1470: "It is 00:30, after the end of this day.",
  };
  for (const [minute, text] of Object.entries(texts)) assert.equal(nowText(offer(), Number(minute)), text);
  assert.equal(nowText(offer({ planned: {} }), 600), "It is 10:00: nothing planned.");
  assert.equal(nowText(offer({ clock: 12 }), 13 * 60), "It is 1:00 pm: Workshop until 5:00 pm, then Sleep from 10:30 pm.");
});

test("the plan as rows in order, by the journal's clock", () => {
  assert.deepEqual(planRows({ sleep: ["22:30-24:00"], workshop: ["09:00-12:30"] }, offer()), [{ name: "Workshop", times: "09:00–12:30" }, { name: "Sleep", times: "22:30–24:00" }]);
  assert.equal(shownRange({ start: "08:30", end: "09:00" }, 12), "8:30 am–9:00 am");
  assert.equal(shownRange({ start: "08:30", end: null }, 24), "08:30");
  assert.equal(shownRange({ start: null, end: null }, 24), "all day");
});

test("the way to the evening stands out once the plan is over, unless the day is closed", () => {
  assert.equal(isClosing(offer(), 1019), false);
  assert.equal(isClosing(offer(), 1020), true);
  assert.equal(isClosing(offer({ kind: "past" }), null), true);
  for (const change of [{ closed: true }, { kind: "past", closed: true }]) assert.equal(isClosing(offer(change), 1400), false);
  assert.equal(isClosing(offer({ kind: "coming" }), null), false);
});

test("a conflict is named as on the page, with its values in words", () => {
  const here = offer({ tasks: [{ ref: "t7k2", title: "Quote" }], habits: [{ key: "walk", name: "Walk" }] });
  const names = { "tasks.t7k2.status": "Quote", "tasks.gone": "A task", "habits.walk": "Walk", "notes.0": "Notes", "weather.high": "Weather", "": "The page", "hours.planned.sleep": "Hours" };
  for (const [field, name] of Object.entries(names)) assert.equal(conflictName(field, here), name);
  const values = [[null, "nothing"], ["", "nothing"], [true, "done"], [false, "not done"], [["a", "b"], "a\nb"], [[], "nothing"], [9, "9"], [{ title: "Call", start: "08:30", end: null, status: "open" }, "08:30 Call"], [{ title: "Sew", status: "done" }, "Sew done"], [{ mood: 3 }, "a page with other content"]];
  for (const [value, text] of values) assert.equal(conflictValue(value), text);
});
