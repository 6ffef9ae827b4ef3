// The day's weather and appointments, asked on the evening before: their values in a heading, folded open to correct them.

import { appointmentList } from "./appointments.js";
import { make, problemSpot } from "./elements.js";
import { fieldControls, fieldRow } from "./field_controls.js";
import { summaryText } from "./of_the_day_text.js";
import { _ } from "./texts.js";

export function ofTheDay(sheet) {
  const { offer, now } = sheet;
  const heading = make("summary", {});
  const tell = () => { heading.textContent = _("The day's weather and appointments: {summary}", { summary: summaryText(offer, now) }); };
  const changed = (path) => {
    tell();
    sheet.changed(path);
  };
  const fields = offer.planned_fields.map((field) => ({ ...field, label: ofDay(field.label), question: ofDay(field.question) }));
  const scales = fields.filter((field) => field.control === "scale");
  const others = fields.filter((field) => field.control !== "scale");
  tell();
  return make(
    "details", { class: "of-the-day", "data-section": "of-the-day" }, heading,
    make("div", { role: "group", "aria-label": _("Of the day") },
      others.length > 0 && fieldRow({ ...sheet, changed }, others, now.plannedFields, ""),
      fieldControls({ ...sheet, changed }, scales, now.plannedFields),
      make("h3", { text: _("Appointments") }),
      appointmentList({ typed: () => now.dayAppointments, offered: offer.appointments, path: "", ofDay: true, clock: offer.clock, moved: changed }),
      problemSpot("appointments")),
  );
}

// The same fields are asked for tomorrow, under their plain names.
const ofDay = (name) => _("{name} of the day", { name });
