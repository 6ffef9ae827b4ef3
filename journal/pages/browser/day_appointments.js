// The appointments of a day: those of calendar files to read, those of the page to correct, and a new one.

import { button, card, make, problemSpot } from "./elements.js";
import { leavesLine } from "./keyboard.js";
import { fileTime } from "./form_state.js";
import { shownRange, shownTime } from "./day_words.js";
import { _ } from "./texts.js";

const KEYS = ["start", "end", "title"];

export function dayAppointments(page) {
  const { appointments } = page.offer;
  return card(
    _("Appointments"), "day-appointments",
    appointments.length ? make("ul", { class: "rows" }, appointments.map((one) => row(page, one))) : make("p", { class: "empty", text: _("None on this day.") }),
    adding(page),
  );
}

function row(page, one) {
  const path = `appointment ${(one.ref ?? "").replaceAll(".", "·")}`;
  const isOpen = one.ref !== null && page.opened.has(path);
  const change = one.ref !== null && button("…", () => {
    if (!page.opened.delete(path)) page.opened.add(path);
    page.redraw("appointments");
  }, { class: "step more-of", "aria-label": _("Change {title}", one), "aria-expanded": String(isOpen), title: _("Change") });
  return make(
    "li", {}, make("span", { class: "when", text: shownRange(one, page.offer.clock) }), make("span", { class: "name", text: one.title }),
    one.from === "calendar" && make("span", { class: "aside", text: _("from calendar") }), change,
    isOpen && correcting(page, one, path),
  );
}

function correcting(page, one, path) {
  const saved = { title: one.title, start: shownTime(one.start, page.offer.clock), end: shownTime(one.end, page.offer.clock) };
  const away = button(_("Take out"), () => page.edit({ what: "appointment", ref: one.ref, remove: true }, path), { class: "quiet", "aria-label": _("Take out {title}", one) });
  return fields(page, path, saved, { ref: one.ref, name: _("Appointment {title}", one), act: _("Save"), said: _("Save {title}", one), away });
}

function adding(page) {
  return fields(page, "add appointment", { title: "", start: "", end: "" }, { ref: null, name: _("New appointment"), act: _("Add"), said: _("Add the appointment"), away: null });
}

// The times and the title together: an appointment with a start only is another one than with both.
function fields(page, path, saved, { ref, name, act, said, away }) {
  const input = (key, label, attributes) => {
    const own = `${path}.${key}`;
    const field = make("input", { type: "text", autocomplete: "off", "aria-label": label, value: page.typed[own] ?? saved[key], ...attributes });
    field.dataset.typed = own;
    field.addEventListener("input", () => page.keep(own, field.value));
    field.addEventListener("keydown", (event) => {
      if (!leavesLine(event)) return;
      event.preventDefault();
      save();
    });
    return field;
  };
  const [start, end, title] = [
    input("start", _("{appointment}, from", { appointment: name }), { class: "time", placeholder: "08:30" }), input("end", _("{appointment}, to", { appointment: name }), { class: "time", placeholder: "09:00" }), input("title", _("{appointment}, what", { appointment: name }), { placeholder: _("What") }),
  ];
  const save = () => {
    if (!title.value.trim() && ref === null) return title.focus();
    return page.edit({ what: "appointment", ref, title: title.value, start: fileTime(start.value), end: fileTime(end.value) }, path, KEYS.map((key) => `${path}.${key}`));
  };
  return make(
    "div", { class: "appointment-fields" },
    make("div", { class: "line-with" }, start, make("span", { "aria-hidden": "true", text: "–" }), end, title, button(act, save, { "aria-label": said })),
    problemSpot(`${path}.start`, start), problemSpot(`${path}.end`, end), problemSpot(`${path}.title`, title), problemSpot(path, title), away,
  );
}
