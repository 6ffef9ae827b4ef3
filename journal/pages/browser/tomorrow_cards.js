// The cards of tomorrow: sun, weather, appointments, hours.

import { appointmentList } from "./appointments.js";
import { brokenHint } from "./broken_files.js";
import { card, make } from "./elements.js";
import { fieldControls, fieldRow } from "./field_controls.js";
import { isBroken } from "./form_state.js";
import { hoursEditor } from "./hours_editor.js";
import { night, parseBlocks } from "./hour_lines.js";
import { DAY, parseTime, formatMinutes, formatTime } from "./times.js";
import { _ } from "./texts.js";

export function tomorrowCards(sheet) {
  const { offer } = sheet;
  const slept = make("p", { class: "slept", role: "status" });
  const plan = hoursEditor(sheet, {
    key: "planned", path: "tomorrow.planned", name: offer.tomorrow.day === offer.today ? _("Hours of today") : _("Hours of tomorrow"), open: false,
    view: () => ({ marks: marked(sheet), daylight: offer.tomorrow.daylight }),
    changed: () => sheet.refit(),
    extra: slept,
  });
  sheet.onHours = () => {
    slept.textContent = sleptText(sheet);
  };
  sheet.onHours();
  sheet.onCheck = plan.draw;
  const moved = (path) => {
    plan.draw();
    sheet.refit();
    sheet.changed(path);
  };
  return [
    card(
      offer.tomorrow.title, "tomorrow",
      make("p", { class: "sun", text: offer.tomorrow.sun }),
      brokenHint(offer, "tomorrow", _("nothing here can be saved")),
      fields(sheet), byLot(offer.tomorrow.lots),
      make("h3", { text: _("Appointments") }), appointmentList({ typed: () => sheet.now.appointments, offered: offer.tomorrow.appointments, path: "tomorrow.", clock: offer.clock, moved }),
    ),
    isBroken(offer, "settings") ? "" : card(offer.tomorrow.day === offer.today ? _("The hours of today") : _("The hours of tomorrow"), "hours-card", plan.element),
  ];
}

// The heading has "By lot" already.
function shortLot(said) {
  const before = _("By lot: ");
  return said.startsWith(before) ? said.slice(before.length) : said;
}

// What trials have drawn for the day, a line each.
function byLot(lots) {
  if (!lots?.length) return null;
  const line = ({ name, said }) => make("li", {}, make("span", { class: "name", text: name }), make("span", { class: "lot", text: shortLot(said) }));
  return [make("h3", { text: _("By lot") }), make("ul", { class: "rows lots" }, lots.map(line))];
}

function sleptText(sheet) {
  const { categories, clock } = sheet.offer;
  const sleep = categories.find((category) => category.sleep)?.key;
  const sleepTime = night(parseBlocks(sheet.now.actual, categories), parseBlocks(sheet.now.planned, categories), sleep);
  if (!sleepTime) return "";
  const times = { bed: formatTime(sleepTime.bed, clock), rise: formatTime(sleepTime.rise, clock), time: formatMinutes(sleepTime.minutes) };
  if (sheet.offer.day === sheet.offer.today) return _("Tonight from {bed} to {rise}: {time} of sleep.", times);
  return _("That night, from {bed} to {rise}: {time} of sleep.", times);
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
