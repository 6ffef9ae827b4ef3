// The tasks of today, each with a choice of its outcome.

import { button, card, choice, make, problemSpot } from "./elements.js";
import { brokenHint } from "./broken_files.js";
import { doneTask, isBroken } from "./form_state.js";
import { putBackNote } from "./put_back_note.js";
import { formatMinutes } from "./times.js";
import { _ } from "./texts.js";

const outcomes = (offer) => [
  { value: "done", name: _("done") },
  { value: "carry", name: offer.tomorrow.day === offer.today ? _("carry to today") : _("carry to tomorrow"), shown: [_("carry")] },
  { value: "move", name: _("another day") },
  { value: "undated", name: _("back to no day"), shown: [_("no day")] },
  { value: "drop", name: _("drop") },
];

export function todayTasks(sheet) {
  const list = make("ul", { class: "rows tasks" });
  const isToday = sheet.offer.day === sheet.offer.today;
  const empty = make("p", { class: "empty", text: isToday ? _("No tasks today.") : _("No tasks on this day.") });
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
  return card(isToday ? _("What today left") : _("What the day left"), "left", brokenHint(sheet.offer, "today", _("its tasks are not known")), list, empty, added(sheet, show), sheet.outOfToday.element);
}

function row(sheet, task, place) {
  const path = `tasks.${place}`;
  const more = make("span", { class: "more" });
  const details = () => {
    more.replaceChildren();
    if (task.what === "done") more.append(...tookField(sheet, task, path));
    if (task.what === "move") {
      const day = make("input", { type: "date", value: task.to || "", "aria-label": _("Day for {title}", { title: task.title }) });
      day.addEventListener("input", () => {
        task.to = day.value || null;
        sheet.changed(`${path}.to`);
      });
      more.append(_("to "), day, problemSpot(`${path}.to`, day));
    }
  };
  if (task.ref === null) return newRow(sheet, task, path);
  const control = choice({
    name: path, label: _("What becomes of {title}", { title: task.title }), options: outcomes(sheet.offer), kind: "chips", chosen: ["open", "away"].includes(task.what) ? null : task.what,
    choose: (chosen) => {
      task.what = chosen || (task.away ? "away" : "open");
      details();
      sheet.carried(task);
      sheet.changed(path);
    },
  });
  details();
  const note = [task.rank && _("rank {number}", { number: task.rank }), task.estimate && formatMinutes(task.estimate), task.said, task.away && _("on a later day")].filter(Boolean).join(" · ");
  return make(
    "li", { class: "task" },
    make("span", { class: "name" }, make("span", { text: task.title }), note && make("span", { class: "aside", text: note })),
    make("span", { class: "what" }, control, more),
    problemSpot(path, control),
  );
}

function tookField(sheet, task, path) {
  const took = make("input", { type: "text", inputmode: "numeric", autocomplete: "off", class: "amount", value: task.took, "aria-label": _("Minutes that {title} took", { title: task.title }) });
  took.addEventListener("input", () => {
    task.took = took.value;
    sheet.changed(`${path}.took`);
  });
  return [_("took "), took, _(" min"), problemSpot(`${path}.took`, took)];
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
    sheet.outOfToday.tell(_("{title} is taken out; it was not saved yet.", { title: task.title }), () => set([...sheet.now.tasks.filter((other) => other !== task), task]));
  }, { class: "away", "aria-label": _("Take out {title}", { title: task.title }), title: _("Take out") });
  return make(
    "li", { class: "task" },
    make("span", { class: "name" }, make("span", { text: task.title }), make("span", { class: "aside", text: _("done, added today") })),
    make("span", { class: "what" }, make("span", { class: "more" }, tookField(sheet, task, path)), away), problemSpot(path), problemSpot(`${path}.title`),
  );
}

// The field to add a task that was done without a plan. A save adds what stands in it.
function added(sheet, show) {
  const { adding } = sheet.now;
  const field = make("input", { type: "text", autocomplete: "off", value: adding.did, "aria-label": _("Something else that you did") , placeholder: _("Something else that you did") });
  field.addEventListener("input", () => {
    adding.did = field.value;
    sheet.changed("adding");
  });
  sheet.addDone = () => {
    const title = field.value.trim();
    if (!title) return;
    sheet.now.tasks.push(doneTask(title));
    adding.did = field.value = "";
    show();
    sheet.changed("tasks");
  };
  const add = () => {
    sheet.addDone();
    field.focus();
  };
  field.addEventListener("keydown", (event) => {
    if (event.key !== "Enter") return;
    event.preventDefault();
    add();
  });
  return make("div", { class: "adding" }, field, button(_("Add"), add, { "aria-label": _("Add what you did") }));
}
