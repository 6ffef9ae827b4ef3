// The controls of a schedule: a list of everyday patterns, and the fields of the chosen one.

import { labelled, make, problemSpot, uniqueId } from "./elements.js";
import { chosenPattern, everyNoun, fieldsOf, MONTHS, ORDINALS, patterns, weekdaysFrom } from "./schedule_state.js";

// `typed` is a value of `typedSchedule` and is changed in place; `changed(path)` is called after each change. Problems
// have their places at `path` and the name of the field. `label` is the label of the list.
export function scheduleFields(typed, { path, changed, quota = true, otherWords = "", label = "Due" }) {
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

function interval(typed, sheet) {
  const noun = everyNoun(typed.pattern);
  return amount(typed, "interval", sheet, { before: "every", noun, name: `Every how many ${noun}s` });
}

function times(typed, sheet) {
  const phrase = amount(typed, "times", sheet, { before: "", noun: "time", name: "How many times" });
  const list = select(typed, "per", [["week", "week"], ["month", "month"]], sheet, { "aria-label": "In a week or a month" });
  phrase.lastChild.before(make("span", { text: "a" }), list);
  return phrase;
}

// A number within a phrase. Its accessible name is a phrase of its own.
function amount(typed, key, { path, changed }, { before, noun, name }) {
  const unit = make("span", {});
  const count = () => { unit.textContent = typed[key].trim() === "1" ? noun : `${noun}s`; };
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
  const options = weekdaysFrom(typed.weeks_from).map(([code, name]) => ({ value: code, name, shown: name.slice(0, 3) }));
  return toggles(typed, "weekdays", "Days of the week", options, sheet);
}

function ordinals(typed, sheet) {
  return toggles(typed, "ordinals", "Which of the month", ORDINALS.map(([value, name]) => ({ value, name, shown: name })), sheet);
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
    class: isOne ? "amount" : "", placeholder: isOne ? "e.g. 14" : "e.g. 1, 15",
  });
  field.addEventListener("input", () => {
    typed.month_days = field.value;
    changed(`${path}.month_days`);
  });
  return labelled(isOne ? "Day" : "Days of the month", field, `${path}.month_days`);
}

function lastDay(typed, { path, changed }) {
  const id = uniqueId("last-day");
  const box = make("input", { type: "checkbox", id, checked: typed.last_day });
  box.addEventListener("change", () => {
    typed.last_day = box.checked;
    changed(`${path}.last_day`);
  });
  return make("label", { class: "check", for: id }, box, make("span", { text: "and the last day" }));
}

function month(typed, sheet) {
  const list = select(typed, "month", MONTHS.map((name, place) => [String(place + 1), name]), sheet);
  return labelled("Month", list, `${sheet.path}.month`);
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
