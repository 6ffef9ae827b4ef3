// A month filled in one go, habit by day, for days that were kept on paper. Saved once.

import { make } from "./elements.js";

const SHAPES = { done: "done", false: "missed", rest: "rest" };

// `offer` is a month's offer; `touched` is called after every change; `changed` are marks that were put before.
export function monthGrid(offer, touched, changed = {}) {
  const cells = new Map();
  const markOf = (habit, day) => (changed[habit]?.[day] !== undefined ? changed[habit][day] : offer.marks[habit]?.[day] ?? null);
  let at = [0, 0];
  let typed = "";

  const holds = (habit, day) => offer.due[habit.key]?.[day] !== null;

  const put = (row, column, mark) => {
    const habit = offer.habits[row];
    const day = offer.days[column];
    if (!holds(habit, day)) return;
    const was = offer.marks[habit.key]?.[day] ?? null;
    changed[habit.key] ||= {};
    if (mark === was) delete changed[habit.key][day];
    else changed[habit.key][day] = mark;
    paint(row, column);
    touched();
  };

  const paint = (row, column) => {
    const habit = offer.habits[row];
    const day = offer.days[column];
    const mark = markOf(habit.key, day);
    const due = offer.due[habit.key]?.[day] === true;
    const cell = cells.get(`${row} ${column}`);
    cell.replaceChildren();
    if (typeof mark === "number") cell.append(make("span", { class: "count", text: String(mark) }));
    else if (mark !== null) cell.append(make("span", { class: `shape ${mark === true ? "done" : SHAPES[mark]}` }));
    cell.classList.toggle("off", !due);
    cell.classList.toggle("none", !holds(habit, day));
    if (!holds(habit, day)) cell.setAttribute("aria-disabled", "true");
    cell.classList.toggle("new", changed[habit.key]?.[day] !== undefined);
    cell.setAttribute("aria-label", `${habit.name}, ${spoken(day)}: ${holds(habit, day) ? said(habit, mark, due) : "not in force"}`);
  };

  const said = (habit, mark, due) => {
    if (mark === true) return "done";
    if (mark === false) return "not done";
    if (mark === "rest") return "rest";
    if (typeof mark === "number") return habit.unit ? `${mark} ${habit.unit}` : String(mark);
    return due ? "nothing yet" : "not due";
  };

  const cycle = (row, column) => {
    const habit = offer.habits[row];
    const mark = markOf(habit.key, offer.days[column]);
    const order = habit.kind === "counted" ? [null, habit.target ?? 1, 0, "rest"] : [null, true, false, "rest"];
    const place = order.findIndex((one) => one === mark);
    // A count of her own goes on to rest, not back to the target.
    put(row, column, place < 0 ? "rest" : order[(place + 1) % order.length]);
  };

  const focus = (row, column) => {
    cells.get(`${at[0]} ${at[1]}`).tabIndex = -1;
    at = [row, column];
    typed = "";
    const cell = cells.get(`${row} ${column}`);
    cell.tabIndex = 0;
    cell.focus();
  };

  const key = (event, row, column) => {
    const rows = offer.habits.length;
    const columns = offer.days.length;
    const steps = { ArrowUp: [-1, 0], ArrowDown: [1, 0], ArrowLeft: [0, -1], ArrowRight: [0, 1] };
    const step = steps[event.key];
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    if (step) focus(Math.min(Math.max(row + step[0], 0), rows - 1), Math.min(Math.max(column + step[1], 0), columns - 1));
    else if (event.key === "Home") focus(row, 0);
    else if (event.key === "End") focus(row, columns - 1);
    else if (event.key === " " || event.key === "Enter") cycle(row, column);
    else if (event.key.toLowerCase() === "r") put(row, column, "rest");
    else if (event.key.toLowerCase() === "d") put(row, column, offer.habits[row].kind === "counted" ? offer.habits[row].target ?? 1 : true);
    else if (event.key.toLowerCase() === "n") put(row, column, offer.habits[row].kind === "counted" ? 0 : false);
    else if (event.key === "Backspace" || event.key === "Delete") {
      typed = typed.slice(0, -1);
      put(row, column, typed === "" ? null : Number(typed));
    } else if (/^[\d.,]$/.test(event.key) && offer.habits[row].kind === "counted") {
      typed += event.key.replace(",", ".");
      if (!Number.isNaN(Number(typed))) put(row, column, Number(typed));
    } else return;
    event.preventDefault();
  };

  const head = make("tr", { role: "row" }, make("th", { role: "columnheader", scope: "col", text: "Habit" }), offer.days.map((day) =>
    make("th", { role: "columnheader", scope: "col", class: isWeekend(day) ? "weekend" : "", title: spoken(day), "aria-label": spoken(day) }, String(Number(day.slice(8))))));
  const rows = offer.habits.map((habit, row) => make("tr", { role: "row" }, make("th", { role: "rowheader", scope: "row", text: habit.name }), offer.days.map((day, column) => {
    const cell = make("td", { role: "gridcell", tabindex: row === 0 && column === 0 ? "0" : "-1", class: isWeekend(day) ? "weekend" : "" });
    cell.addEventListener("click", () => {
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
  const grid = make("table", { role: "grid", class: "month-grid", "aria-label": `Marks of ${offer.title || offer.month}` }, make("thead", {}, head), make("tbody", {}, rows));
  offer.habits.forEach((_, row) => offer.days.forEach((__, column) => paint(row, column)));
  const hint = make("p", { class: "hint", text: "Click a day to go through done, not done, rest and nothing. With the keys: arrows move, space goes through the marks, d is done, n is not done, r is rest, digits count, Backspace takes a mark back." });
  return {
    element: make("div", {}, make("div", { class: "month-scroll" }, grid), hint),
    entered: () => ({ base: offer.base, month: offer.month, marks: Object.fromEntries(Object.entries(changed).filter(([, days]) => Object.keys(days).length)) }),
    offer,
    changed,
    count: () => Object.values(changed).reduce((sum, days) => sum + Object.keys(days).length, 0),
  };
}

const MONTHS = ["January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November", "December"];
const spoken = (day) => `${Number(day.slice(8))} ${MONTHS[Number(day.slice(5, 7)) - 1]}`;
const isWeekend = (day) => [0, 6].includes(new Date(`${day}T12:00:00Z`).getUTCDay());

export const monthName = (key) => `${MONTHS[Number(key.slice(5, 7)) - 1]} ${key.slice(0, 4)}`;
