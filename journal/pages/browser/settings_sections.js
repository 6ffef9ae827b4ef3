// The parts of the settings page: each a card that is folded under its title and a summary of what it says.

import { make } from "./elements.js";
import { calendarViews } from "./settings_calendars.js";
import { settingControl } from "./settings_controls.js";
import { rowName, settingRows } from "./settings_rows.js";
import { usualStrips } from "./settings_strips.js";
import { _, _n } from "./texts.js";

export function settingSection(sheet, section) {
  const { offer, now } = sheet;
  const body = make("div", { class: "section-body" });
  const summary = make("span", { class: "aside" });
  const about = () => { summary.textContent = summaryOf(section, offer, now); };
  const inner = { ...sheet, changed: (path) => { about(); sheet.changed(path); }, redraw: (focus) => draw(focus) };
  const draw = (focus) => {
    body.replaceChildren(...contentOf(inner, section, draw));
    about();
    if (focus) body.querySelector(focus)?.focus();
  };
  const key = `section ${section.key}`;
  const details = make(
    "details", { class: `card folded part-${section.key}`, "data-section": section.key, open: sheet.opened.has(key) },
    make("summary", {}, make("h2", { text: section.title }), summary), body,
  );
  // The fields are made when the part is first opened: most of a long journal.toml is never looked at.
  const opened = () => { if (!body.childElementCount) draw(); };
  details.addEventListener("toggle", () => {
    if (details.open) {
      sheet.opened.add(key);
      opened();
    } else sheet.opened.delete(key);
  });
  if (details.open) opened();
  about();
  return { details, opened, key: section.key, about };
}

function contentOf(sheet, section, draw) {
  const { offer, now } = sheet;
  const parts = [];
  if (section.fields.length) {
    parts.push(make("div", { class: "fields" }, section.fields.map((name) => settingControl(sheet, offer.controls[name], { values: now.singles, key: name, path: name }))));
  }
  if (section.key === "calendars") parts.push(calendarViews(sheet));
  if (section.list) parts.push(settingRows(sheet, section.list, draw));
  if (section.has_strips) parts.push(usualStrips(sheet));
  return parts;
}

const LONGEST = 90; // characters of a summary

function summaryOf(section, offer, now) {
  if (section.list) {
    const kind = offer.lists[section.list];
    const names = [...new Set(now.lists[section.list].map((row) => rowName(kind, row)))];
    return shortened(names, _("none yet"));
  }
  const said = section.fields.map((name) => fieldSummary(name, offer.controls[name], now.singles[name])).filter(Boolean);
  return shortened(said, _("nothing yet"), " · ");
}

// What a number or a time says of itself. A choice says its option, but in a summary not every choice is news.
const SAID = {
  "day.turns": (value) => _("the day turns at {time}", { time: value }),
  "day.gratitude_lines": (value) => _n("{count} good thing", "{count} good things", Number(value), { count: value }),
  "day.ranked_tasks": (value) => _n("{count} ranked task", "{count} ranked tasks", Number(value), { count: value }),
  format: (value) => _("format {number}", { number: value }),
  blank: () => "",
  unmarked: () => "",
  pictures: () => "",
};

function fieldSummary(name, field, value) {
  if (SAID[name]) return SAID[name](value);
  if (field.options.length) return field.options.find((option) => option.value === value)?.name ?? value;
  if (field.control === "lines") return value.split("\n").filter((line) => line.trim()).join(", ");
  if (field.control === "whole" || field.control === "number") return "";
  return value;
}

function shortened(parts, none, between = ", ") {
  const text = parts.join(between);
  if (!text) return none;
  return text.length > LONGEST ? `${text.slice(0, LONGEST).trimEnd()}…` : text;
}
