import assert from "node:assert/strict";
import { test } from "node:test";

import { capacityParts } from "../../../journal/pages/browser/capacity_parts.js";
import { both, canKeepBoth, valueText } from "../../../journal/pages/browser/conflict_text.js";
import { pageGroups } from "../../../journal/pages/browser/page_previews.js";
import { placeOf } from "../../../journal/pages/browser/problem_places.js";
import { gratitudeHeading } from "../../../journal/pages/browser/text_fields.js";
import { anOffer, CATEGORIES } from "./offers.js";

test("the heading counts the good things that a journal asks for", () => {
  assert.deepEqual([1, 2, 5, 6, 0].map(gratitudeHeading), ["One good thing", "Two good things", "Five good things", "Good things", "Good things"]);
});

test("both texts are kept, the file's first, shared lines once", () => {
  assert.equal(both({ yours: "mine", theirs: "theirs" }), "theirs\nmine");
  assert.equal(both({ yours: "mine", theirs: " " }), "mine");
  assert.deepEqual(both({ yours: ["a", "", "b"], theirs: ["b", "c"] }), ["b", "c", "a"]);
});

test("only texts can keep both sides", () => {
  assert.deepEqual(["gratitude", "memory", "notes", "mood", "planned", "tasks.Quote.took"].filter((field) => canKeepBoth({ field })), ["gratitude", "memory", "notes"]);
});

test("values of a conflict in words", () => {
  const text = (field, value) => valueText({ field }, value, anOffer());
  assert.deepEqual([null, undefined, ""].map((value) => text("memory", value)), ["nothing", "nothing", "nothing"]);
  assert.deepEqual([text("mood", 5), text("mood", 3), text("energy", 3), text("tomorrow.weather.high", 9)], ["5 bright", "3", "3 ", "9"]);
  assert.deepEqual([text("share", true), text("share", false)], ["yes", "no"]);
  assert.deepEqual([text("habits.walk", true), text("habits.walk", false), text("habits.walk", "rest"), text("habits.read", 0)], ["done", "not done", "rest", "0"]);
  assert.deepEqual([text("notes", ["a", "", "b"]), text("notes", []), text("notes", [""])], ["a\nb", "nothing", "nothing"]);
  assert.equal(text("appointments", [{ start: "08:30", end: "", title: "Merchant" }]), "08:30 Merchant");
});

test("the bar of 'will it fit' is in percent of its longest part", () => {
  const { parts, label } = capacityParts({ planned: 60, expected: 90, low: 75, high: 120, room: 240, work: 30 });
  assert.deepEqual(parts, [
    { kind: "open", left: 0, width: 100 }, { kind: "planned", left: 0, width: 25 }, { kind: "expected", left: 25, width: 12.5 },
    { kind: "range", left: 31.25, width: 18.75 }, { kind: "end", left: 100, width: 0 },
  ]);
  assert.equal(label, "Planned 1 h, expected 1 h 30 min, likely between 1 h 15 min and 2 h, room for 4 h, 30 min of it in work hours.");
});

test("the bar omits unknown numbers", () => {
  const { parts, label } = capacityParts({});
  assert.deepEqual([parts, label], [[{ kind: "planned", left: 0, width: 0 }], "Planned 0 min."]);
  assert.equal(capacityParts({ planned: 60, room: 120 }).label, "Planned 1 h, open time 2 h.");
  for (const half of [{ low: 30 }, { high: 30 }]) {
    const known = capacityParts({ planned: 60, ...half });
    assert.deepEqual([known.parts.map((one) => one.kind), known.label], [["planned"], "Planned 1 h."]);
  }
  assert.deepEqual(capacityParts({ expected: 30 }).parts, [{ kind: "planned", left: 0, width: 0 }, { kind: "expected", left: 0, width: 100 }]);
});

test("without an excess over the plan there is no expected part", () => {
  const { parts, label } = capacityParts({ planned: 90, expected: 59.6, high: 100.4, low: 49.7 });
  assert.deepEqual(parts.map((one) => one.kind), ["planned", "range"]);
  assert.equal(label, "Planned 1 h 30 min, expected 1 h, likely between 50 min and 1 h 40 min.");
  const same = capacityParts({ planned: 60, expected: 60 });
  assert.deepEqual([same.label, same.parts.map((one) => one.kind)], ["Planned 1 h.", ["planned"]]);
});

test("the longest number fills the bar", () => {
  for (const key of ["planned", "expected", "high", "room"]) {
    const { parts } = capacityParts({ planned: 60, expected: 60, low: 30, high: 60, room: 60, [key]: 240 });
    assert.equal(Math.max(...parts.map((one) => one.left + one.width)), 100, key);
  }
});

const NOW = { actual: ["", "Workshop 9-10", "Sleep 0-6", "Workshop 11-12"], planned: ["Sleep 0-6"], gratitude: ["", "a", " ", "b"], notes: ["n"] };

test("a problem of the hours belongs to the line that its range came from", () => {
  const place = (field) => placeOf(field, NOW, CATEGORIES);
  assert.equal(place("actual.workshop.0"), "actual.line.1");
  assert.equal(place("actual.workshop.1"), "actual.line.3");
  assert.equal(place("actual.workshop.2"), "actual");
  assert.equal(place("tomorrow.planned.sleep.0"), "tomorrow.planned.line.0");
  assert.equal(place("actual.workshop"), "actual.workshop");
  assert.equal(place("tomorrow.planned"), "tomorrow.planned");
});

test("a problem of a line of words belongs to the line as it stands, empty ones counted", () => {
  const place = (field) => placeOf(field, NOW, CATEGORIES);
  assert.deepEqual([place("gratitude.0"), place("gratitude.1"), place("notes.0"), place("gratitude")], ["gratitude.1", "gratitude.3", "notes.0", "gratitude"]);
  assert.deepEqual([place("mood"), place("tasks.0.took")], ["mood", "tasks.0.took"]);
});

test("the first page of a book stands alone, then two face each other; of sheets each stands alone", () => {
  assert.deepEqual(pageGroups(5, true), [[1], [2, 3], [4, 5]]);
  assert.deepEqual(pageGroups(4, true), [[1], [2, 3], [4]]);
  assert.deepEqual(pageGroups(3, false), [[1], [2], [3]]);
  assert.deepEqual(pageGroups(0, true), []);
});
