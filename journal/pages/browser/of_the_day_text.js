// What the evening before wrote of a day, in one line: "fog, high 16 °C, low 3 °C · 14:00–17:00 Tilen".

import { whenText } from "./appointments.js";
import { fieldKey } from "./day_fields.js";
import { _, inSentence } from "./texts.js";

export function summaryText(offer, now) {
  const fields = offer.planned_fields.map((field) => fieldText(field, now.plannedFields[fieldKey(field)])).filter(Boolean);
  const calendar = offer.appointments.filter((one) => one.from === "calendar");
  const appointments = [...calendar, ...now.dayAppointments].filter((one) => one.title.trim());
  const order = (one) => whenText(one, 24).replace(_("all day"), "");
  const listed = appointments.sort((a, b) => order(a).localeCompare(order(b))).map((one) => `${whenText(one, offer.clock)} ${one.title.trim()}`);
  return [fields.join(", "), ...listed].filter(Boolean).join(" · ") || _("none noted");
}

function fieldText(field, typed) {
  if (typed === null || typed === undefined || String(typed).trim() === "") return "";
  if (field.control === "text") return String(typed).trim();
  const step = field.steps.find((one) => one.value === typed);
  return [inSentence(field.label), typed, step?.word || field.unit].filter((part) => part !== "").join(" ");
}
