// The tasks of a day: ticked, ranked, reworded, moved, added.

import { button, card, choice, make, problemSpot, uniqueId } from "./elements.js";
import { number } from "./day_fields.js";
import { leavesLine, rankKey } from "./keyboard.js";
import { offeredTask } from "./offered_task.js";
import { rankName } from "./ranks.js";
import { savesItself } from "./saved_field.js";
import { formatMinutes } from "./times.js";
import { _, _n, _p, inSentence, numberText } from "./texts.js";

export function dayTasks(page) {
  const { offer } = page;
  const empty = make("p", { class: "empty", text: offer.kind === "coming" ? _("Nothing yet.") : _("No task is on this day.") });
  return card(
    _("Tasks"), "day-tasks",
    offer.tasks.length ? make("ul", { class: "rows tasks" }, offer.tasks.map((task) => row(page, task))) : empty,
    problemSpot("tasks"), adding(page), offers(page),
  );
}

const stateName = (status) => ({ carried: _p("of a task", "carried"), dropped: _p("of a task", "dropped") })[status];
const pathOf = (task) => `task ${task.ref.replaceAll(".", "·")}`;

function row(page, task) {
  const path = pathOf(task);
  const settled = task.status === "carried" || task.status === "dropped";
  const box = make("input", { type: "checkbox", id: uniqueId("field"), "data-keep": `${path} done`, checked: task.status === "done", disabled: settled });
  box.addEventListener("change", () => page.edit({ what: "task", ref: task.ref, status: box.checked ? "done" : "open" }, path));
  const note = [task.estimate && formatMinutes(task.estimate), task.took && _("took {time}", { time: formatMinutes(task.took) }), task.said, settled && stateName(task.status)].filter(Boolean).join(" · ");
  const more = button("…", () => {
    if (!page.opened.delete(path)) page.opened.add(path);
    page.redraw("tasks");
  }, { class: "step more-of", "aria-label": _("Change {title}", task), "aria-expanded": String(page.opened.has(path)), title: _("Change") });
  const isOpen = page.opened.has(path);
  const rankWord = _("rank");
  return make(
    "li", { class: `task ${task.status}` }, box,
    make("label", { class: "name", for: box.id }, make("span", { class: "title-of", text: task.title }), note && make("span", { class: "aside", text: note })),
    settled || page.offer.kind !== "coming" ? task.rank && make("span", { class: "ranked" }, make("span", { class: "unseen", text: `${rankWord} ` }), String(task.rank)) : rank(page, task, path), more,
    isOpen && changing(page, task, path), problemSpot(path, box),
  );
}

// One press ranks a task, and once more takes the rank away. The task that had the rank gets the other's, or none.
function rank(page, task, path) {
  const put = (value) => page.edit({ what: "task", ref: task.ref, rank: value }, path);
  const highest = Math.max(page.offer.ranked, task.rank || 0);
  const ranks = choice({
    name: `${path} rank`, label: _("Rank of {title}", task), kind: "rank", chosen: task.rank || null, choose: put,
    options: Array.from({ length: highest }, (_, at) => ({ value: at + 1, name: rankName(at + 1), shown: [String(at + 1)] })),
  });
  ranks.setAttribute("aria-keyshortcuts", "1 2 3 0");
  ranks.title = _("Press 1, 2, 3; once more takes the rank away");
  ranks.addEventListener("keydown", (event) => {
    const pressed = rankKey(event, highest);
    if (!pressed) return;
    event.preventDefault();
    put(pressed.rank === task.rank ? null : pressed.rank);
  });
  return ranks;
}

function changing(page, task, path) {
  const field = (key, label, attributes = {}) => {
    const input = make("input", { type: "text", autocomplete: "off", "aria-label": label, ...attributes });
    const send = (text) => page.edit({ what: "task", ref: task.ref, [key]: key === "title" ? text : number(text) }, path, [`${path}.${key}`]);
    return savesItself(page, input, { path: `${path}.${key}`, saved: task[key] === null ? "" : typeof task[key] === "number" ? numberText(task[key]) : task[key], send });
  };
  const [title, estimate, took] = [
    field("title", _("Title of {title}", task)), field("estimate", _("Minutes for {title}", task), { class: "amount", inputmode: "numeric" }),
    field("took", _("Minutes that {title} took", task), { class: "amount", inputmode: "numeric" }),
  ];
  const day = make("input", { type: "date", min: page.offer.kind === "coming" ? null : page.offer.after, "aria-label": _("Another day for {title}", task) });
  day.addEventListener("change", () => day.value && page.edit({ what: "move", ref: task.ref, to: day.value }, path));
  const act = (text, edit, name = text) => button(text, () => page.edit({ ref: task.ref, ...edit }, path), { class: "quiet", "aria-label": `${task.title}: ${inSentence(name)}` });
  const coming = page.offer.kind === "coming";
  const open = task.status === "open";
  const settled = ["carried", "dropped"].includes(task.status);
  return make(
    "div", { class: "task-more" }, title, problemSpot(`${path}.title`, title),
    !coming && !settled && make("div", { class: "measures" }, make("span", { class: "measure" }, _("rank"), rank(page, task, path))),
    make("div", { class: "measures" }, make("span", { class: "measure" }, _("estimate"), estimate, _("min")), !coming && make("span", { class: "measure" }, _("took"), took, _("min"))),
    problemSpot(`${path}.estimate`, estimate), problemSpot(`${path}.took`, took),
    open && make("div", { class: "ways-out" }, make("span", { class: "measure" }, _("another day"), day), act(_("Without a day"), { what: "put away" }), act(_("Drop it"), { what: "move", drop: true })),
    problemSpot(`${path}.to`, day),
    task.status === "dropped" && act(_("Open again"), { what: "task", status: "open" }),
  );
}

function adding(page) {
  const paths = ["add task.title", "add task.estimate"];
  const name = page.ofDay({ today: _("A task for today"), tomorrow: _("A task for tomorrow"), other: _("A task for that day") });
  const [title, minutes] = [
    make("input", { type: "text", autocomplete: "off", "aria-label": name, placeholder: name, value: page.typed[paths[0]] ?? "" }),
    make("input", { type: "text", inputmode: "numeric", autocomplete: "off", class: "amount", "aria-label": _("Minutes for the new task"), placeholder: _("min"), value: page.typed[paths[1]] ?? "" }),
  ];
  const add = () => {
    if (!title.value.trim()) return title.focus();
    return page.edit({ what: "add task", title: title.value, estimate: number(minutes.value) }, "add task", paths);
  };
  [title, minutes].forEach((input, place) => {
    input.addEventListener("input", () => page.keep(paths[place], input.value));
    input.addEventListener("keydown", (event) => {
      if (!leavesLine(event)) return;
      event.preventDefault();
      add();
    });
  });
  return make("div", {}, make("div", { class: "adding" }, title, minutes, button(_("Add"), add, { "aria-label": _("Add the task") })), problemSpot("add task", title), problemSpot("add task.estimate", minutes));
}

// Tasks that can be taken in: routines of the day, tasks that earlier days left open, tasks without a day.
function offers(page) {
  const { routines, left, undated } = page.offer;
  const offered = (task, edit) => offeredTask(task, () => page.edit(edit, "tasks"));
  const fold = (key, text, tasks, edit) => {
    if (!tasks.length) return null;
    const whole = make("details", { open: page.opened.has(key) }, make("summary", { text }), make("ul", { class: "offered" }, tasks.map((task) => offered(task, edit(task)))));
    whole.addEventListener("toggle", () => page.opened[whole.open ? "add" : "delete"](key));
    return whole;
  };
  return [
    routines.length > 0 && make("div", {}, make("h3", { text: _("Comes round on this day") }), make("ul", { class: "offered" }, routines.map((one) => offered(one, { what: "add task", title: one.title, estimate: one.estimate })))),
    fold("left", _("Left open on earlier days, {count}", { count: left.length }), left, (task) => ({ what: "take in", ref: task.ref })),
    fold("undated", _n("Take the one without a day", "Take one of the {count} without a day", undated.length), undated, (task) => ({ what: "take in", ref: `undated/${task.ref}` })),
  ];
}
