// The appointments of a day: those of calendar files as they are, typed ones as fields.

import { button, make, problemSpot } from "./elements.js";
import { putBackNote } from "./put_back_note.js";
import { formatTime, parseTime } from "./times.js";
import { _ } from "./texts.js";

// The time of an appointment in words: "14:00–15:30", "14:00" or "all day".
export function whenText({ start, end }, clock) {
  const shown = (text) => {
    const read = parseTime(text || "");
    return read.wrong ? (text || "").trim() : formatTime(read.minutes, clock);
  };
  return [start, end].filter((text) => (text || "").trim()).map(shown).join("–") || _("all day");
}

// `typed` are the appointments as typed, changed in place; `offered` those of the offer; `path` is the prefix of their
// fields, `ofDay` says that they are of the day itself; `moved` is called with a path after each change.
export function appointmentList({ typed, offered, path, ofDay = false, clock, moved }) {
  const calendar = offered.filter((one) => one.from === "calendar").map((one) => make(
    "li", {}, make("span", { class: "when", text: whenText(one, clock) }), make("span", { class: "name", text: one.title }),
    make("span", { class: "aside", text: one.source ? _("in {source}, change it there", { source: one.source }) : _("in a calendar, change it there") }),
  ));
  const list = make("div", { class: "typed-appointments" });
  const show = () => list.replaceChildren(...typed().map(row));
  const row = (appointment, place) => {
    const at = `${path}appointments.${place}`;
    const name = ofDay ? _("Appointment {place} of the day", { place: place + 1 }) : _("Appointment {place}", { place: place + 1 });
    const field = (key, label, attributes) => {
      const input = make("input", { type: "text", autocomplete: "off", value: appointment[key], "aria-label": `${name}, ${label}`, ...attributes });
      input.addEventListener("input", () => {
        appointment[key] = input.value;
        moved(`${at}.${key}`);
      });
      return input;
    };
    const [start, end, title] = [
      field("start", _("from"), { class: "time", placeholder: "08:30" }), field("end", _("to"), { class: "time", placeholder: "09:00" }), field("title", _("what"), { placeholder: _("What") }),
    ];
    const away = button("×", () => {
      typed().splice(place, 1);
      show();
      moved(at);
      if (!filled(appointment)) return add.focus();
      return out.tell(appointment.title.trim() ? _("{title} is taken out.", { title: appointment.title.trim() }) : _("The appointment is taken out."), () => {
        typed().splice(place, 0, appointment);
        show();
        moved(at);
        list.children[place]?.querySelector("input").focus();
      });
    }, { class: "away", "aria-label": ofDay ? _("Take out appointment {place} of the day", { place: place + 1 }) : _("Take out appointment {place}", { place: place + 1 }), title: _("Take out") });
    return make("div", { class: "line-typed" }, make("div", { class: "line-with" }, start, make("span", { "aria-hidden": "true", text: "–" }), end, title, away),
      problemSpot(`${at}.start`, start), problemSpot(`${at}.end`, end), problemSpot(`${at}.title`, title), problemSpot(at));
  };
  const out = putBackNote();
  const add = button(ofDay ? _("+ Add an appointment of the day") : _("+ Add an appointment"), () => {
    typed().push({ ref: null, title: "", start: "", end: "" });
    out.clear();
    show();
    list.lastElementChild.querySelector("input").focus();
  }, { class: "quiet" });
  show();
  return make("div", {}, calendar.length ? make("ul", { class: "rows" }, calendar) : null, list, out.element, add);
}

const filled = ({ title, start, end }) => [title, start, end].some((text) => text.trim());
