// The cards of tomorrow: sun, weather, appointments, hours.

import { button, card, labelled, make, problemSpot } from "./elements.js";
import { fieldControls, fieldRow } from "./field_controls.js";
import { hoursEditor } from "./hours_editor.js";
import { night, parseBlocks } from "./hour_lines.js";
import { DAY, nextDayName, parseTime, formatMinutes, formatTime } from "./times.js";

export function tomorrowCards(sheet) {
  const { offer } = sheet;
  const slept = make("p", { class: "slept", role: "status" });
  const plan = hoursEditor(sheet, {
    key: "planned", path: "tomorrow.planned", name: `Hours of ${nextDayName(offer)}`, open: false,
    view: () => ({ marks: marked(sheet), daylight: offer.tomorrow.daylight }),
    changed: () => sheet.refit(),
    extra: slept,
  });
  sheet.onHours = () => {
    slept.textContent = sleptText(sheet);
  };
  sheet.onHours();
  sheet.onCheck = plan.draw;
  return [
    card(
      offer.tomorrow.title, "tomorrow",
      make("p", { class: "sun", text: offer.tomorrow.sun }),
      fields(sheet),
      make("h3", { text: "Appointments" }), appointments(sheet, plan),
    ),
    card(`The hours of ${nextDayName(offer)}`, "hours-card", plan.element),
  ];
}

function sleptText(sheet) {
  const { categories, clock } = sheet.offer;
  const sleep = categories.find((category) => category.sleep)?.key;
  const sleepTime = night(parseBlocks(sheet.now.actual, categories), parseBlocks(sheet.now.planned, categories), sleep);
  if (!sleepTime) return "";
  const when = sheet.offer.day === sheet.offer.today ? "Tonight" : "That night,";
  return `${when} from ${formatTime(sleepTime.bed, clock)} to ${formatTime(sleepTime.rise, clock)}: ${formatMinutes(sleepTime.minutes)} of sleep.`;
}

// Fields of tomorrow: the weather and others in a row, scales below.
function fields(sheet) {
  const asked = sheet.offer.tomorrow.fields;
  const typed = sheet.now.tomorrowFields;
  const scales = asked.filter((field) => field.control === "scale");
  const others = asked.filter((field) => field.control !== "scale");
  return [fieldRow(sheet, others, typed, "tomorrow."), ...fieldControls(sheet, scales, typed, "tomorrow.")];
}

// Appointments as bands on the strip: those of the calendar, and typed ones with valid times.
function marked(sheet) {
  const calendar = sheet.offer.tomorrow.appointments.filter((one) => one.from === "calendar");
  return [...calendar, ...sheet.now.appointments].flatMap((one) => {
    const from = parseTime(one.start || "");
    const to = parseTime(one.end || one.start || "");
    if (from.wrong) return [];
    return [{ title: one.title, from: from.minutes, to: to.wrong ? from.minutes : Math.min(to.minutes || DAY, DAY) }];
  });
}

function appointments(sheet, plan) {
  const { clock } = sheet.offer;
  const shownTime = (text) => {
    const read = parseTime(text || "");
    return read.wrong ? "" : formatTime(read.minutes, clock);
  };
  const calendar = sheet.offer.tomorrow.appointments.filter((one) => one.from === "calendar").map((one) => make(
    "li", {},
    make("span", { class: "when", text: one.start ? [one.start, one.end].filter(Boolean).map(shownTime).join("–") : "all day" }),
    make("span", { class: "name", text: one.title }), make("span", { class: "aside", text: "from calendar" }),
  ));
  const list = make("div", { class: "typed-appointments" });
  const show = () => list.replaceChildren(...sheet.now.appointments.map(row));
  const moved = (path) => {
    plan.draw();
    sheet.refit();
    sheet.changed(path);
  };
  const row = (appointment, place) => {
    const path = `tomorrow.appointments.${place}`;
    const field = (key, label, attributes) => {
      const input = make("input", { type: "text", autocomplete: "off", value: appointment[key], "aria-label": `Appointment ${place + 1}, ${label}`, ...attributes });
      input.addEventListener("input", () => {
        appointment[key] = input.value;
        moved(`${path}.${key}`);
      });
      return input;
    };
    const [start, end, title] = [
      field("start", "from", { class: "time", placeholder: "08:30" }), field("end", "to", { class: "time", placeholder: "09:00" }), field("title", "what", { placeholder: "What" }),
    ];
    const away = button("×", () => {
      sheet.now.appointments.splice(place, 1);
      show();
      moved(path);
      add.focus();
    }, { class: "away", "aria-label": `Take out appointment ${place + 1}`, title: "Take out" });
    return make("div", { class: "line-typed" }, make("div", { class: "line-with" }, start, make("span", { "aria-hidden": "true", text: "–" }), end, title, away),
      problemSpot(`${path}.start`, start), problemSpot(`${path}.end`, end), problemSpot(`${path}.title`, title), problemSpot(path));
  };
  const add = button("+ Add an appointment", () => {
    sheet.now.appointments.push({ ref: null, title: "", start: "", end: "" });
    show();
    list.lastElementChild.querySelector("input").focus();
  }, { class: "quiet" });
  show();
  return make("div", {}, calendar.length ? make("ul", { class: "rows" }, calendar) : null, list, add);
}
