import assert from "node:assert/strict";
import { test } from "node:test";

import { fieldName, number, sentFields, typedFields } from "../../../journal/pages/browser/day_fields.js";
import { aField } from "./offers.js";

const FIELDS = [
  aField("mood", "Mood", { control: "scale", value: 4 }),
  aField("steps", "Steps", { control: "number", value: 8000 }),
  aField("wore", "Wore"),
  aField("weather.high", "High", { control: "number", unit: "°C", value: 11 }),
];

test("a step of a scale stays a number, all else stands as text", () => {
  assert.deepEqual(typedFields(FIELDS), { mood: 4, steps: "8000", wore: "", "weather.high": "11" });
});

test("fields are sent as a page has them, those of a table in that table", () => {
  const typed = { mood: null, steps: " 8,5 ", wore: " the grey coat ", "weather.high": "" };
  assert.deepEqual(sentFields(FIELDS, typed), { mood: null, steps: 8.5, wore: "the grey coat", weather: { high: null } });
});

test("what was offered is sent where nothing was touched", () => {
  assert.deepEqual(sentFields(FIELDS, typedFields(FIELDS)), { mood: 4, steps: 8000, wore: "", weather: { high: 11 } });
});

test("a field without a control of the page's own is sent as it was typed", () => {
  assert.deepEqual(sentFields([aField("steps", "Steps", { control: "number" })], { steps: "many" }), { steps: "many" });
});

test("a unit stands behind the name", () => {
  assert.deepEqual(FIELDS.map(fieldName), ["Mood", "Steps", "Wore", "High, °C"]);
});

test("numbers are read with a point or a comma; anything else goes as it is", () => {
  const numbers = { "": null, "  ": null, 3: 3, " 3,5 ": 3.5, "-2.25": -2.25, "3.": "3.", "1e3": "1e3", "0x10": "0x10", " many ": "many", "1.2.3": "1.2.3" };
  for (const [typed, value] of Object.entries(numbers)) assert.equal(number(typed), value, typed);
  assert.equal(number(null), null);
  assert.equal(number(undefined), null);
  assert.equal(number(0), 0);
});
