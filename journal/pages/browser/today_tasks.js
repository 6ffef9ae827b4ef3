// The tasks of today, each with a choice of its outcome.

import { button, card, choice, make, problemSpot } from "./elements.js";
import { brokenHint } from "./broken_files.js";
import { isBroken } from "./form_state.js";
import { putBackNote } from "./put_back_note.js";
import { nextDayName, formatMinutes } from "./times.js";

const outcomes = (offer) => [
  { value: "done", name: "done" },
  { value: "carry", name: `carry to ${nextDayName(offer)}`, shown: ["carry"] },
  { value: "move", name: "another day" },
  { value: "undated", name: "back to no day", shown: ["no day"] },
  { value: "drop", name: "drop" },
];

export function todayTasks(sheet) {
  const list = make("ul", { class: "rows tasks" });
  const day = sheet.offer.day === sheet.offer.today ? "today" : "the day";
  const empty = make("p", { class: "empty", text: `No tasks ${day === "today" ? "today" : "on this day"}.` });
  const show = () => {
    list.replaceChildren(...sheet.now.tasks.map((task, place) => row(sheet, task, place)));
    empty.hidden = sheet.now.tasks.length > 0 || isBroken(sheet.offer, "today");
  };
  sheet.outOfToday = putBackNote();
  show();
  sheet.onTasks = show;
  sheet.onCarry = (task) => {
    const place = sheet.now.tasks.indexOf(task);
    if (place >= 0) list.children[place].replaceWith(row(sheet, task, place));
  };
  return card(`What ${day} left`, "left", brokenHint(sheet.offer, "today", "its tasks are not known"), list, empty, added(sheet, show), sheet.outOfToday.element);
}

function row(sheet, task, place) {
  const path = `tasks.${place}`;
  const more = make("span", { class: "more" });
  const details = () => {
    more.replaceChildren();
    if (task.what === "done") more.append(...tookField(sheet, task, path));
    if (task.what === "move") {
      const day = make("input", { type: "date", value: task.to || "", "aria-label": `Day for ${task.title}` });
      day.addEventListener("input", () => {
        task.to = day.value || null;
        sheet.changed(`${path}.to`);
      });
      more.append("to ", day, problemSpot(`${path}.to`, day));
    }
  };
  if (task.ref === null) return newRow(sheet, task, path);
  const control = choice({
    name: path, label: `What becomes of ${task.title}`, options: outcomes(sheet.offer), kind: "chips", chosen: ["open", "away"].includes(task.what) ? null : task.what,
    choose: (chosen) => {
      task.what = chosen || (task.away ? "away" : "open");
      details();
      sheet.carried(task);
      sheet.changed(path);
    },
  });
  details();
  const note = [task.rank && `rank ${task.rank}`, task.estimate && formatMinutes(task.estimate), task.said, task.away && "on a later day"].filter(Boolean).join(" · ");
  return make(
    "li", { class: "task" },
    make("span", { class: "name" }, make("span", { text: task.title }), note && make("span", { class: "aside", text: note })),
    make("span", { class: "what" }, control, more),
    problemSpot(path, control),
  );
}

function tookField(sheet, task, path) {
  const took = make("input", { type: "text", inputmode: "numeric", autocomplete: "off", class: "amount", value: task.took, "aria-label": `Minutes that ${task.title} took` });
  took.addEventListener("input", () => {
    task.took = took.value;
    sheet.changed(`${path}.took`);
  });
  return ["took ", took, " min", problemSpot(`${path}.took`, took)];
}

// A task added here is done. It can only be removed again.
function newRow(sheet, task, path) {
  const set = (tasks) => {
    sheet.now.tasks = tasks;
    sheet.onTasks();
    sheet.changed("tasks");
  };
  const away = button("×", () => {
    set(sheet.now.tasks.filter((other) => other !== task));
    sheet.outOfToday.tell(`${task.title} is taken out; it was not saved yet.`, () => set([...sheet.now.tasks.filter((other) => other !== task), task]));
  }, { class: "away", "aria-label": `Take out ${task.title}`, title: "Take out" });
  return make(
    "li", { class: "task" },
    make("span", { class: "name" }, make("span", { text: task.title }), make("span", { class: "aside", text: "done, added today" })),
    make("span", { class: "what" }, make("span", { class: "more" }, tookField(sheet, task, path)), away), problemSpot(path), problemSpot(`${path}.title`),
  );
}

// The field to add a task that was done without a plan.
function added(sheet, show) {
  const field = make("input", { type: "text", autocomplete: "off", "aria-label": "Something else that you did" , placeholder: "Something else that you did" });
  const add = () => {
    const title = field.value.trim();
    if (!title) return field.focus();
    sheet.now.tasks.push({ ref: null, title, what: "done", to: null, took: "", rank: null, estimate: null, said: "" });
    field.value = "";
    show();
    sheet.changed("tasks");
    return field.focus();
  };
  field.addEventListener("keydown", (event) => {
    if (event.key !== "Enter") return;
    event.preventDefault();
    add();
  });
  return make("div", { class: "adding" }, field, button("Add", add, { "aria-label": "Add what you did" }));
}
