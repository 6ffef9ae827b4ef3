import assert from "node:assert/strict";
import { test } from "node:test";

import { whenText } from "../../../journal/pages/browser/appointments.js";
import { fromOffer } from "../../../journal/pages/browser/form_state.js";
import { summaryText } from "../../../journal/pages/browser/of_the_day_text.js";
import { aField, anOffer } from "./offers.js";

const summary = (change) => summaryText(anOffer(change), fromOffer(anOffer(change)));

test("weather and appointments in one line, by time, those of calendars among them", () => {
  const appointments = [
    { from: "page", title: "Quartet", start: "19:30", end: "21:00" },
    { from: "page", title: "Fair", start: null, end: null },
    { from: "calendar", title: "Merchant", start: "08:30", end: null },
  ];
  assert.equal(summary({ appointments }), "fog, high 9 °C · all day Fair · 08:30 Merchant · 19:30–21:00 Quartet");
});

test("without a value there are words for it", () => {
  assert.equal(summary({ planned_fields: [aField("weather.sky", "Sky"), aField("weather.high", "High", { control: "number" })] }), "none noted");
});

test("a scale by its step, and its word", () => {
  const hope = aField("hope", "Hope", { control: "scale", value: 5, steps: [{ value: 5, word: "bright" }] });
  assert.equal(summary({ planned_fields: [hope] }), "hope 5 bright");
});

test("times by the clock of the journal, and as typed if they are none", () => {
  assert.equal(whenText({ start: "14:00", end: "15:30" }, 12), "2:00 pm–3:30 pm");
  assert.equal(whenText({ start: "9", end: "" }, 24), "09:00");
  assert.equal(whenText({ start: "noonish", end: null }, 24), "noonish");
  assert.equal(whenText({ start: null, end: null }, 24), "all day");
});
