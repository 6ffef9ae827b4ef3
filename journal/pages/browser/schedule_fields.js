// The controls of a schedule: a list of everyday patterns, and the fields of the chosen one.

import { labelled, make, problemSpot, uniqueId } from "./elements.js";
import { chosenPattern, everyNoun, fieldsOf, ORDINALS, patterns, periodNoun, weekdaysFrom } from "./schedule_state.js";
import { _, _n, _p, N_, language } from "./texts.js";

// `typed` is a value of `typedSchedule` and is changed in place; `changed(path)` is called after each change. Problems
// have their places at `path` and the name of the field. `label` is the label of the list.
export function scheduleFields(typed, { path, changed, quota = true, otherWords = "", label = _("Due") }) {
  const parts = make("div", { class: "schedule-parts" });
  const list = make(
    "select", {},
    patterns({ quota, otherWords }).map(({ name, text }) => make("option", { value: name, text })),
  );
  list.value = typed.pattern;
  list.addEventListener("change", () => {
    chosenPattern(typed, list.value);
    draw();
    changed(`${path}.pattern`);
  });
  const draw = () => parts.replaceChildren(...fieldsOf(typed.pattern).map((name) => DRAWN[name]?.(typed, { path, changed }) ?? ""));
  draw();
  return make("div", { class: "schedule" }, labelled(label, list, `${path}.pattern`), parts);
}

// `per` is drawn with `times`.
const DRAWN = { interval, weekdays, ordinals, month_days: monthDays, last_day: lastDay, month, times };

const EVERY_HOW_MANY = { day: N_("Every how many days"), week: N_("Every how many weeks"), month: N_("Every how many months"), year: N_("Every how many years") };

function interval(typed, sheet) {
  const period = everyNoun(typed.pattern);
  return amount(typed, "interval", sheet, { before: _p("before a number", "every"), unit: (count) => periodNoun(period, count), name: _(EVERY_HOW_MANY[period]) });
}

function times(typed, sheet) {
  const phrase = amount(typed, "times", sheet, { before: "", unit: (count) => _n("time", "times", count), name: _("How many times") });
  const list = select(typed, "per", [["week", _p("… times a week", "week")], ["month", _p("… times a week", "month")]], sheet, { "aria-label": _("In a week or a month") });
  phrase.lastChild.before(make("span", { text: _p("… times a week", "a") }), list);
  return phrase;
}

// A number within a phrase. Its accessible name is a phrase of its own.
function amount(typed, key, { path, changed }, { before, unit: unitOf, name }) {
  const unit = make("span", {});
  const count = () => { unit.textContent = unitOf(typed[key].trim() === "1" ? 1 : 2); };
  const field = make("input", { type: "text", inputmode: "numeric", autocomplete: "off", class: "amount", value: typed[key], "aria-label": name });
  field.addEventListener("input", () => {
    typed[key] = field.value;
    count();
    changed(`${path}.${key}`);
  });
  count();
  return make("div", { class: "phrase" }, before && make("span", { text: before }), field, unit, problemSpot(`${path}.${key}`, field));
}

function weekdays(typed, sheet) {
  const options = weekdaysFrom(typed.weeks_from).map(([code, name]) => ({ value: code, name, shown: name.slice(0, Math.min(3, language().shortWeekday)) }));
  return toggles(typed, "weekdays", _("Days of the week"), options, sheet);
}

function ordinals(typed, sheet) {
  return toggles(typed, "ordinals", _("Which of the month"), ORDINALS.map(([value, name]) => ({ value, name: _(name), shown: _(name) })), sheet);
}

// Buttons that are pressed or not, in a named group.
function toggles(typed, key, label, options, { path, changed }) {
  const buttons = options.map(({ value, name, shown }) => {
    const one = make("button", { type: "button", class: "toggle", text: shown, "aria-label": name, "aria-pressed": String(typed[key].includes(value)) });
    one.addEventListener("click", () => {
      const chosen = !typed[key].includes(value);
      typed[key] = chosen ? [...typed[key], value] : typed[key].filter((other) => other !== value);
      one.setAttribute("aria-pressed", String(chosen));
      changed(`${path}.${key}`);
    });
    return one;
  });
  const group = make("div", { role: "group", "aria-label": label, class: "toggles", tabindex: "-1" }, buttons);
  return make("div", {}, group, problemSpot(`${path}.${key}`, group));
}

function monthDays(typed, { path, changed }) {
  const isOne = typed.pattern === "year";
  const field = make("input", {
    type: "text", inputmode: isOne ? "numeric" : "text", autocomplete: "off", value: typed.month_days,
    class: isOne ? "amount" : "", placeholder: isOne ? _("e.g. {example}", { example: "14" }) : _("e.g. {example}", { example: "1, 15" }),
  });
  field.addEventListener("input", () => {
    typed.month_days = field.value;
    changed(`${path}.month_days`);
  });
  return labelled(isOne ? _("Day") : _("Days of the month"), field, `${path}.month_days`);
}

function lastDay(typed, { path, changed }) {
  const id = uniqueId("last-day");
  const box = make("input", { type: "checkbox", id, checked: typed.last_day });
  box.addEventListener("change", () => {
    typed.last_day = box.checked;
    changed(`${path}.last_day`);
  });
  return make("label", { class: "check", for: id }, box, make("span", { text: _("and the last day") }));
}

function month(typed, sheet) {
  const list = select(typed, "month", language().months.map((name, place) => [String(place + 1), name]), sheet);
  return labelled(_("Month"), list, `${sheet.path}.month`);
}

function select(typed, key, options, { path, changed }, attributes = {}) {
  const list = make("select", attributes, options.map(([value, text]) => make("option", { value, text })));
  list.value = typed[key];
  list.addEventListener("change", () => {
    typed[key] = list.value;
    changed(`${path}.${key}`);
  });
  return list;
}
