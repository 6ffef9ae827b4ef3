// The appointments of a day: those of calendar files as they are, typed ones as fields.

import { button, make, problemSpot } from "./elements.js";
import { putBackNote } from "./put_back_note.js";
import { formatTime, parseTime } from "./times.js";

// The time of an appointment in words: "14:00–15:30", "14:00" or "all day".
export function whenText({ start, end }, clock) {
  const shown = (text) => {
    const read = parseTime(text || "");
    return read.wrong ? (text || "").trim() : formatTime(read.minutes, clock);
  };
  return [start, end].filter((text) => (text || "").trim()).map(shown).join("–") || "all day";
}

// `typed` are the appointments as typed, changed in place; `offered` those of the offer; `path` is the prefix of their
// fields, `of` comes after the name of each row; `moved` is called with a path after each change.
export function appointmentList({ typed, offered, path, of = "", clock, moved }) {
  const calendar = offered.filter((one) => one.from === "calendar").map((one) => make(
    "li", {}, make("span", { class: "when", text: whenText(one, clock) }), make("span", { class: "name", text: one.title }),
    make("span", { class: "aside", text: one.source ? `in ${one.source}, change it there` : "in a calendar, change it there" }),
  ));
  const list = make("div", { class: "typed-appointments" });
  const show = () => list.replaceChildren(...typed().map(row));
  const row = (appointment, place) => {
    const at = `${path}appointments.${place}`;
    const name = `Appointment ${place + 1}${of}`;
    const field = (key, label, attributes) => {
      const input = make("input", { type: "text", autocomplete: "off", value: appointment[key], "aria-label": `${name}, ${label}`, ...attributes });
      input.addEventListener("input", () => {
        appointment[key] = input.value;
        moved(`${at}.${key}`);
      });
      return input;
    };
    const [start, end, title] = [
      field("start", "from", { class: "time", placeholder: "08:30" }), field("end", "to", { class: "time", placeholder: "09:00" }), field("title", "what", { placeholder: "What" }),
    ];
    const away = button("×", () => {
      typed().splice(place, 1);
      show();
      moved(at);
      if (!filled(appointment)) return add.focus();
      return out.tell(`${appointment.title.trim() || "The appointment"} is taken out.`, () => {
        typed().splice(place, 0, appointment);
        show();
        moved(at);
        list.children[place]?.querySelector("input").focus();
      });
    }, { class: "away", "aria-label": `Take out ${name.toLowerCase()}`, title: "Take out" });
    return make("div", { class: "line-typed" }, make("div", { class: "line-with" }, start, make("span", { "aria-hidden": "true", text: "–" }), end, title, away),
      problemSpot(`${at}.start`, start), problemSpot(`${at}.end`, end), problemSpot(`${at}.title`, title), problemSpot(at));
  };
  const out = putBackNote();
  const add = button(`+ Add an appointment${of}`, () => {
    typed().push({ ref: null, title: "", start: "", end: "" });
    out.clear();
    show();
    list.lastElementChild.querySelector("input").focus();
  }, { class: "quiet" });
  show();
  return make("div", {}, calendar.length ? make("ul", { class: "rows" }, calendar) : null, list, out.element, add);
}

const filled = ({ title, start, end }) => [title, start, end].some((text) => text.trim());
