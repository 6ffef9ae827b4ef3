// The rows of a list of journal.toml, each folded under its name: its fields, and ways to add, move, end and take out.

import { button, make, problemSpot } from "./elements.js";
import { dayName } from "./month_marks.js";
import { settingControl } from "./settings_controls.js";
import { leavingNotice } from "./settings_leaving.js";
import { placeFacts } from "./settings_places.js";
import { dueSchedule } from "./settings_schedule.js";
import { shownRows } from "./settings_shown.js";
import { newRow, shownColour } from "./settings_state.js";
import { _, _p, N_, language } from "./texts.js";

// `redraw(focus)` draws the section again and focuses what `focus` selects.
export function settingRows(sheet, name, redraw) {
  const { offer, now } = sheet;
  const kind = offer.lists[name];
  if (kind.closed) return make("p", { class: "closed", text: kind.closed });
  if (kind.made_on) return shownRows(sheet, name, { rowName, asideOf });
  const rows = now.lists[name];
  const items = rows.map((row, at) => rowOf(sheet, name, row, at, redraw));
  const add = button(kind.add, () => {
    const row = newRow(offer, now, name);
    rows.push(row);
    sheet.opened.add(`${name}.${row.uid}`);
    sheet.changed(name);
    redraw(`[data-row="${row.uid}"] :is(input, textarea, select)`);
  }, { class: "quiet" });
  return make("div", { class: "setting-list" }, items.length ? make("ul", { class: "rows-set" }, items) : make("p", { class: "empty", text: _("None yet.") }), problemSpot(name), add);
}

// Time off has no name but its reason, which may be left out.
export const rowName = (kind, { values }) => values[kind.name_key]?.trim() || (kind.name_key === "reason" ? _("Time off from {day}", { day: dayWords(values.from) }) : kind.unnamed);

function rowOf(sheet, name, row, at, redraw) {
  const { offer, now } = sheet;
  const kind = offer.lists[name];
  const rows = now.lists[name];
  const path = `${name}.${row.uid}`;
  const said = make("span", { class: "name" });
  const aside = make("span", { class: "aside" });
  const dot = make("span", { class: "dot", "aria-hidden": "true" });
  const about = () => {
    said.textContent = rowName(kind, row);
    aside.textContent = asideOf(name, row, sheet);
    dot.style.setProperty("--fill", shownColour(offer, row.values));
  };
  about();
  const inner = { ...sheet, changed: (changed) => { about(); sheet.changed(changed); } };
  const fields = kind.fields.filter(({ control }) => control !== "key").map((field) => fieldOf(inner, name, field, row, path));
  const key = kind.fields.find(({ control }) => control === "key");
  const parts = [make("div", { class: "fields" }, fields.slice(0, 1))];
  if (row.schedule) parts.push(dueSchedule(inner, row, path, name === "habits", about));
  parts.push(make("div", { class: "fields" }, fields.slice(1)));
  if (name === "places") parts.push(placeFacts(inner, row, path));
  if (key) parts.push(make("details", { class: "more" }, make("summary", { text: _("Key in the pages") }), make("div", { class: "fields" }, fieldOf(inner, name, key, row, path))));
  const called = () => ({ name: rowName(kind, row) });
  const way = (text, label, title, press, attributes) => button(text, press, { class: "step", "aria-label": label, title, ...attributes });
  const move = (by) => {
    rows.splice(at + by, 0, ...rows.splice(at, 1));
    sheet.changed(name);
    redraw(`[data-row="${row.uid}"] [data-way="${by < 0 ? "up" : "down"}"]`);
  };
  const tools = make(
    "div", { class: "tools" },
    way("↑", _("{name}: move up", called()), _("move up"), () => move(-1), { disabled: at === 0, "data-way": "up" }),
    way("↓", _("{name}: move down", called()), _("move down"), () => move(1), { disabled: at === rows.length - 1, "data-way": "down" }),
    name === "habits" && row.ref !== null && button(_("Change it from a day on"), () => succeed(sheet, row, redraw), { class: "quiet" }),
    button(_("Take it out"), (event) => leave(event.target), { class: "quiet", "data-way": "away", "aria-label": _("{name}: take it out", called()) }),
  );
  const goes = () => {
    rows.splice(rows.indexOf(row), 1);
    sheet.changed(name);
    redraw(rows.length ? `[data-row="${rows[Math.min(at, rows.length - 1)].uid}"] summary` : ".setting-list > button");
  };
  const leave = (press) => leavingNotice(sheet, { name, row, press, words: rowName(kind, row), goes, redraw });
  const details = make(
    "details", { class: "row", "data-row": row.uid, open: sheet.opened.has(path) },
    make("summary", {}, name === "categories" && dot, said, aside), make("div", { class: "row-body" }, ...parts, problemSpot(path), tools),
  );
  details.addEventListener("toggle", () => (details.open ? sheet.opened.add(path) : sheet.opened.delete(path)));
  return make("li", {}, details);
}

// Sleep is one category: a tick takes it from the other.
function fieldOf(sheet, name, field, row, path) {
  const made = settingControl(sheet, field, { values: row.values, key: field.key, path: `${path}.${field.key}` });
  if (name === "categories" && field.key === "sleep") {
    made.querySelector("input").addEventListener("change", () => {
      if (!row.values.sleep) return;
      for (const other of sheet.now.lists.categories) if (other !== row) other.values.sleep = false;
      sheet.redraw(`[data-row="${row.uid}"] .as-tick input`);
    });
  }
  return made;
}

function asideOf(name, { uid, ref, values, schedule }, { offer, due }) {
  const [from, until] = [dayWords(values.from), dayWords(values.until)];
  const dates = [from && until ? _p("dates", "{first} to {last}", { first: from, last: until }) : from && _("from {date}", { date: from })];
  if (name === "places") return [values.timezone, degrees(values.latitude, N_("{degrees} N"), N_("{degrees} S")), degrees(values.longitude, N_("{degrees} E"), N_("{degrees} W"))].filter(Boolean).join(" · ");
  if (name === "categories") return [values.sleep && _("sleep"), values.work && _("work")].filter(Boolean).join(" · ");
  if (name === "habits" && values.target) dates.unshift(amountText(values));
  if (schedule) dates.unshift(scheduleSaid(due.get(uid) ?? offer.lists[name].rows.find((row) => ref !== null && row.ref === ref)?.due ?? ""));
  return dates.filter(Boolean).join(" · ") || offer.lists[name].noun;
}

const degrees = (text, above, below) => /^-?[\d.,]+$/.test(text) && (text.startsWith("-") ? _(below, { degrees: text.slice(1) }) : _(above, { degrees: text }));

function dayWords(date) {
  return /^\d{4}-\d\d-\d\d$/.test(date ?? "") && language().months[Number(date.slice(5, 7)) - 1] ? `${dayName(date)} ${Number(date.slice(0, 4))}` : date;
}

// The name of a schedule, without its coming days.
function scheduleSaid(due) {
  const anyDays = _("on any days");
  return due.split(`, ${anyDays}`)[0].split(":")[0];
}

// "at least 20 pages".
function amountText({ aim, target, unit }) {
  const amount = `${target} ${unit}`.trim();
  return aim === "at most" ? _("at most {amount}", { amount }) : _("at least {amount}", { amount });
}

// A habit changes by a second definition with the same key: days before keep the rule of their time.
function succeed(sheet, row, redraw) {
  const { offer, now } = sheet;
  const next = newRow(offer, now, "habits", { ...row.values, from: offer.today, until: "" }, row.schedule);
  now.lists.habits.splice(now.lists.habits.indexOf(row) + 1, 0, next);
  sheet.opened.add(`habits.${next.uid}`);
  sheet.changed("habits");
  redraw(`[data-row="${next.uid}"] .as-date input`);
}
