// The days of the week ahead and the tasks beside them, as elements.

import { habitText, placeName, placesFor, refOf, routineText, taskText, timeText, unbroken } from "./ahead_words.js";
import { button, make, uniqueId } from "./elements.js";
import { _ } from "./texts.js";

// `moves` has `open`, the ref of the task whose places are shown, `toggle(ref)` and `put(task, ref, to)`.
export function dayRow(day, offer, moves) {
  const lines = [
    ...day.appointments.map((one) => line(timeText(one, offer.clock), one.title)),
    day.routines.length > 0 && line(_("Routines"), day.routines.map(routineText).join("; ")),
    day.habits.length > 0 && line(_("Habits"), day.habits.map(habitText).join(", ")),
  ];
  const id = uniqueId("day");
  return make(
    "li", { class: "day" },
    make(
      "div", { class: "head" },
      make("h3", { id }, make("a", { href: `../day/?on=${day.day}`, text: day.weekday }), make("span", { class: "aside", text: ` ${day.title.slice(day.weekday.length).replace(/^[ ,]+/, "")}` })),
      ...day.notes.map((text) => make("p", { class: "aside", text })),
    ),
    make(
      "div", { class: "held" },
      ...day.problems.map((text) => make("p", { class: "wrong", text })),
      day.broken && make("p", { class: "aside", text: _("Nothing can be put on this day before its page is mended.") }),
      day.tasks.length > 0 && make("ul", { class: "rows tasks", "aria-labelledby": id, "data-list": day.day }, day.tasks.map((task) => taskRow(task, offer, moves))),
      !day.broken && make("p", { class: day.holds === false ? "fit-day over" : "fit-day" }, make("span", { text: unbroken(day.fit) }), make("span", { class: "aside", text: ` ${unbroken(day.room)}` })),
    ),
    make("dl", { class: "around" }, lines.filter(Boolean)),
  );
}

const line = (name, text) => make("div", {}, make("dt", { text: name }), make("dd", { text }));

export function taskRow(task, offer, moves) {
  const ref = refOf(task);
  const is = moves.open === ref;
  const name = make("span", { class: "name" }, make("span", { text: task.title }), make("span", { class: "aside", text: taskText(task, task.page || task.kind === "undated" ? "" : task.where) }));
  if (task.status && task.status !== "open") return make("li", { class: "task" }, name);
  const id = uniqueId("places");
  const pressName = task.page ? _("Move") : _("Put on a day");
  const mover = button(pressName, () => moves.toggle(ref), {
    class: "mover", "aria-expanded": is ? "true" : "false", "aria-controls": is ? id : null, "aria-label": `${pressName}: ${task.title}`, "data-ref": ref,
  });
  return make("li", { class: "task" }, name, mover, is && places(task, ref, id, offer, moves));
}

function places(task, ref, id, offer, moves) {
  return make(
    "div", { class: "places", id, role: "group", "aria-label": _("Put {title} on", task) },
    placesFor(ref, offer.days).map((place) => make(
      "button", { type: "button", onclick: () => moves.put(task, ref, place.to), disabled: place.off, "aria-label": placeName(place) },
      make("span", { text: place.short }), place.full && make("span", { class: "aside", text: _("full") }),
    )),
  );
}
