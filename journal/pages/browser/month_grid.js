// The grid of a month, habits by days, to enter marks that were kept on paper. Saved as a whole.

import { countEntry } from "./count_entry.js";
import { make } from "./elements.js";
import { gridMove, monthKey } from "./keyboard.js";
import { dayName, isNumber, isWeekend, markText, monthMarks, weekdayName } from "./month_marks.js";
import { _ } from "./texts.js";

const SHAPES = { true: "done", false: "missed", rest: "rest" }; // a tick with a date is done later

// `offer` is a month's offer; `touched` is called after every change; `changed` are marks entered before.
export function monthGrid(offer, touched, changed = {}) {
  const marks = monthMarks(offer, changed);
  const cells = new Map();
  let at = [0, 0];
  let typed = "";

  const put = (row, column, mark) => {
    if (!marks.put(offer.habits[row], offer.days[column], mark)) return;
    paint(row, column);
    touched();
  };

  const paint = (row, column) => {
    const [habit, day] = [offer.habits[row], offer.days[column]];
    const mark = marks.markOf(habit, day);
    const [holds, due] = [marks.holds(habit, day), marks.isDue(habit, day)];
    const cell = cells.get(`${row} ${column}`);
    cell.replaceChildren();
    if (typeof mark === "number") cell.append(make("span", { class: "count", text: String(mark) }));
    else if (mark !== null) cell.append(make("span", { class: `shape ${SHAPES[mark] ?? "later"}` }));
    cell.classList.toggle("off", !due);
    cell.classList.toggle("none", !holds);
    if (!holds) cell.setAttribute("aria-disabled", "true");
    cell.classList.toggle("new", marks.isNew(habit, day));
    const text = holds ? markText(habit, mark, due) : _("not in force");
    cell.setAttribute("aria-label", `${habit.name}, ${dayName(day)}: ${text}`);
  };

  const cycle = (row, column) => put(row, column, marks.following(offer.habits[row], offer.days[column]));

  const counted = countEntry({
    put: (mark) => put(...at, mark),
    left: (days) => {
      const [row, column] = [at[0], at[1] + days];
      counted.close();
      if (column >= offer.days.length || !marks.holds(offer.habits[row], offer.days[column])) focus(...at);
      else if (days) count(row, column);
      else focus(row, column);
    },
  });

  // Opens the field for a count, where a habit has counts and is in force.
  const count = (row, column) => {
    const [habit, day] = [offer.habits[row], offer.days[column]];
    focus(row, column);
    if (!marks.holds(habit, day)) return;
    counted.open(`${habit.name}, ${dayName(day)}`, habit, marks.markOf(habit, day));
  };

  const focus = (row, column) => {
    counted.close();
    cells.get(`${at[0]} ${at[1]}`).classList.remove("open");
    cells.get(`${at[0]} ${at[1]}`).tabIndex = -1;
    at = [row, column];
    typed = "";
    const cell = cells.get(`${row} ${column}`);
    cell.tabIndex = 0;
    cell.classList.add("open");
    cell.focus();
  };

  const key = (event, row, column) => {
    const to = gridMove(event, [row, column], [offer.habits.length, offer.days.length]);
    const action = to ? null : monthKey(event, offer.habits[row], typed);
    if (to) focus(...to);
    else if (!action) return;
    else if (action.what === "cycle") cycle(row, column);
    else {
      typed = action.typed;
      if (action.mark !== undefined) put(row, column, action.mark);
    }
    event.preventDefault();
  };

  const head = make("tr", { role: "row" }, make("th", { role: "columnheader", scope: "col", text: _("Day") }), offer.days.map((day) =>
    make("th", { role: "columnheader", scope: "col", class: isWeekend(day) ? "weekend" : "", title: `${weekdayName(day)} ${dayName(day)}`, "aria-label": `${weekdayName(day)} ${dayName(day)}` }, make("span", { class: "weekday", text: weekdayName(day).slice(0, 2) }), String(Number(day.slice(8))))));
  const rows = offer.habits.map((habit, row) => make("tr", { role: "row" }, make("th", { role: "rowheader", scope: "row", text: habit.name }), offer.days.map((day, column) => {
    const cell = make("td", { role: "gridcell", tabindex: row === 0 && column === 0 ? "0" : "-1", class: isWeekend(day) ? "weekend" : "" });
    cell.addEventListener("click", () => {
      if (isNumber(habit)) {
        count(row, column);
        return;
      }
      focus(row, column);
      cycle(row, column);
    });
    cell.addEventListener("keydown", (event) => key(event, row, column));
    cell.addEventListener("focus", () => {
      if (at[0] !== row || at[1] !== column) focus(row, column);
    });
    cells.set(`${row} ${column}`, cell);
    return cell;
  })));
  const grid = make("table", { role: "grid", class: "month-grid", "aria-label": _("Marks of {month}", { month: offer.title || offer.month }) }, make("thead", {}, head), make("tbody", {}, rows));
  offer.habits.forEach((_, row) => offer.days.forEach((__, column) => paint(row, column)));
  const hint = make("p", { class: "hint", text: _("Press a day to go through done, not done, rest and nothing; of a habit that is counted, press a day and write the number, Enter goes to the next day. With the keys: arrows move, space goes through the marks, d is done, n is not done, r is rest, digits count, Backspace takes a mark back.") });
  return {
    element: make("div", {}, make("div", { class: "month-scroll" }, grid), counted.element, hint),
    entered: marks.entered,
    offer,
    changed,
    count: marks.count,
  };
}
