// The tasks of tomorrow: ranked by numbers on each, or by a key, and reordered by buttons. Due routines and tasks without a day can
// be added.

import { brokenHint } from "./broken_files.js";
import { button, card, choice, make, problemSpot } from "./elements.js";
import { newTask } from "./form_state.js";
import { rankKey, rowKey } from "./keyboard.js";
import { offeredTask } from "./offered_task.js";
import { byRank, moveTask, rankName, setRank } from "./ranks.js";
import { isOpen, statusName } from "./taken_off.js";
import { takenOffList } from "./taken_off_list.js";
import { nextDayName } from "./times.js";
import { _, _n, _p } from "./texts.js";

const ordinal = (rank) => [_("not ranked"), _p("rank of a task", "first"), _p("rank of a task", "second"), _p("rank of a task", "third")][rank || 0] || _("rank {number}", { number: rank });

export function tomorrowTasks(sheet) {
  const list = make("ol", { class: "rows tasks" });
  const offers = make("div", { class: "offers" });
  const on = nextDayName(sheet.offer);
  const heading = _("Tasks for {on}", { on });
  const empty = make("p", { class: "empty", text: _("Nothing yet.") });
  const off = takenOffList(sheet, on, (task) => {
    sheet.now.next = byRank(sheet.now.next);
    moved();
    if (task) field.focus();
  });
  const { status } = off;

  const show = (focus) => {
    list.replaceChildren(...sheet.now.next.map((task, place) => row(task, place)));
    empty.hidden = sheet.now.next.length > 0;
    off.show();
    offers.replaceChildren(...[routines(), undated()].filter(Boolean));
    if (focus) focusOn(focus.place, focus.what);
  };
  const moved = (focus) => {
    show(focus);
    sheet.refit();
    sheet.changed("tomorrow.tasks");
  };
  sheet.onNext = show;
  const focusOn = (place, what) => {
    const inRow = list.children[place];
    (inRow?.querySelector(`${what}:checked`) ?? inRow?.querySelector(what))?.focus();
  };

  const rank = (task, wanted) => {
    sheet.now.next = setRank(sheet.now.next, task, wanted);
    status.textContent = `${task.title}: ${ordinal(wanted)}`;
    moved({ place: sheet.now.next.indexOf(task), what: ".rank input" });
  };

  const move = (place, by) => {
    if (!moveTask(sheet.now.next, place, by)) return;
    moved({ place: place + by, what: by < 0 ? ".up" : ".down" });
  };

  const row = (task, place) => {
    const path = `tomorrow.tasks.${place}`;
    // One press ranks a task, and once more takes the rank away. The task that had it gets the other's rank, or none.
    const highest = Math.max(sheet.offer.tomorrow.ranked, task.rank || 0);
    const ranks = choice({
      name: `${path}.rank`, label: _("Rank of {title}", { title: task.title }), kind: "rank", chosen: task.rank || null,
      options: Array.from({ length: highest }, (_, at) => ({ value: at + 1, name: rankName(at + 1), shown: [String(at + 1)] })),
      choose: (wanted) => rank(task, wanted),
    });
    ranks.setAttribute("aria-keyshortcuts", "1 2 3 0 ArrowUp ArrowDown");
    ranks.title = _("Press 1, 2, 3; once more takes the rank away. Up and down go to the task above and below.");
    ranks.addEventListener("keydown", (event) => {
      const [pressed, by] = [rankKey(event, highest), rowKey(event)];
      if (!pressed && !by) return;
      event.preventDefault();
      if (pressed) rank(task, pressed.rank === task.rank ? null : pressed.rank);
      else focusOn(place + by, ".rank input");
    });
    const estimate = make("input", {
      type: "text", inputmode: "numeric", autocomplete: "off", class: "amount", value: task.estimate ?? "", placeholder: "?",
      "aria-label": _("Minutes for {title}", { title: task.title }),
    });
    estimate.addEventListener("input", () => {
      task.estimate = estimate.value;
      sheet.refit();
      sheet.changed(`${path}.estimate`);
    });
    const note = [task.said, !isOpen(task) && statusName(task.status)].filter(Boolean).join(" · ");
    const last = place === sheet.now.next.length - 1;
    const up = button("↑", () => move(place, -1), { class: "step up", "aria-label": _("{title}, earlier", { title: task.title }), title: _("Earlier"), disabled: place === 0 });
    const down = button("↓", () => move(place, 1), { class: "step down", "aria-label": _("{title}, later", { title: task.title }), title: _("Later"), disabled: last });
    return make(
      "li", { class: "task next" }, ranks,
      make("span", { class: "name" }, make("span", { text: task.title }), note && make("span", { class: "aside", text: note })),
      make("span", { class: "tools" }, estimate, make("span", { class: "unit", text: _("min") }), up, down, off.cross(task)),
      problemSpot(`${path}.title`, ranks), problemSpot(`${path}.rank`, ranks), problemSpot(`${path}.estimate`, estimate),
    );
  };

  const take = (task, from) => {
    sheet.now.next.push(newTask(task.title, task.estimate ?? "", { said: task.said, id: task.id ?? null, from, source_ref: task.ref ?? null }));
    status.textContent = _("{title} is taken in.", { title: task.title });
    moved();
  };
  const taken = (task, from) => sheet.now.next.some((one) => one.from === from && one.title === task.title && (one.source_ref ?? null) === (task.ref ?? null));

  const offered = (task, from) => offeredTask(task, () => take(task, from));

  const routines = () => {
    const due = sheet.offer.tomorrow.routines.filter((one) => !taken(one, "routine"));
    if (!due.length) return null;
    return make("div", {}, make("h3", { text: _("Comes round {on}", { on }) }), make("ul", { class: "offered" }, due.map((one) => offered(one, "routine"))));
  };

  const { sought } = sheet;
  let opened = false;
  const undated = () => {
    const waiting = sheet.offer.tomorrow.undated.filter((one) => !taken(one, "undated"));
    if (!waiting.length) return null;
    const found = make("ul", { class: "offered" });
    const seek = () => {
      const wanted = sought.text.trim().toLowerCase();
      const hits = waiting.filter((one) => one.title.toLowerCase().includes(wanted));
      found.replaceChildren(...hits.map((one) => offered(one, "undated")));
      if (!hits.length) found.append(make("li", { class: "empty", text: _("None of them has \"{query}\" in it.", { query: sought.text.trim() }) }));
    };
    const search = make("input", { type: "search", value: sought.text, autocomplete: "off", "aria-label": _("Find a task without a day"), placeholder: _("Find one") });
    search.addEventListener("input", () => {
      sought.text = search.value;
      seek();
    });
    seek();
    const whole = make("details", { open: opened }, make("summary", { text: _n("Take one of the {count} without a day", "Take one of the {count} without a day", waiting.length) }), waiting.length > 6 && search, found);
    whole.addEventListener("toggle", () => { opened = whole.open; });
    return whole;
  };

  const { adding } = sheet.now;
  const field = make("input", { type: "text", autocomplete: "off", value: adding.task, "aria-label": _("A new task for {on}", { on }), placeholder: _("A new task for {on}", { on }) });
  const minutes = make("input", { type: "text", inputmode: "numeric", autocomplete: "off", class: "amount", value: adding.minutes, "aria-label": _("Minutes for the new task"), placeholder: _("min") });
  // A save adds what stands in the fields, too.
  sheet.addNew = () => {
    const title = field.value.trim();
    if (!title) return;
    const estimate = minutes.value.trim();
    adding.task = adding.minutes = field.value = minutes.value = "";
    take({ title, estimate, said: "" }, "new");
  };
  const add = () => {
    sheet.addNew();
    field.focus();
  };
  for (const [key, input] of [["task", field], ["minutes", minutes]]) {
    input.addEventListener("input", () => {
      adding[key] = input.value;
      sheet.changed("adding");
    });
    input.addEventListener("keydown", (event) => {
      if (event.key !== "Enter") return;
      event.preventDefault();
      add();
    });
  }
  show();
  return card(heading, "next", brokenHint(sheet.offer, "tomorrow", _("nothing here can be saved")), brokenHint(sheet.offer, "undated", _("its tasks are not offered here")), list, empty, make("div", { class: "adding" }, field, minutes, button(_("Add"), add, { "aria-label": _("Add the task") })), off.element, offers, status);
}
