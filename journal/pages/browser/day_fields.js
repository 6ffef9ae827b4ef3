// The fields of a day on the form: their entered values, and the values to send.

import { language, numberText } from "./texts.js";

const text = (value) => (value === null || value === undefined ? "" : String(value));

const shown = (value) => (typeof value === "number" ? numberText(value) : text(value));

export const fieldKey = (field) => field.path.join(".");
export const fieldName = ({ label, unit }) => (unit ? `${label}, ${unit}` : label);

// The value of each control: the chosen step of a scale, else the text as typed.
export function typedFields(fields) {
  return Object.fromEntries(fields.map((field) => [fieldKey(field), field.control === "scale" ? field.value : field.control === "number" ? shown(field.value) : text(field.value)]));
}

// Parses a typed number, with a decimal point or comma. Other text is returned as it is, and the answer to the save reports
// the error. So is a number that could be meant as thousands: "1,234" in English, "1.234" in German.
export function number(typed) {
  const cleaned = text(typed).trim().replace(",", ".");
  if (cleaned === "") return null;
  if (isAmbiguous(typed)) return text(typed).trim();
  return /^-?\d+(\.\d+)?$/.test(cleaned) ? Number(cleaned) : text(typed).trim();
}

export function isAmbiguous(typed) {
  const { group } = language();
  return new RegExp(`^-?[1-9]\\d{0,2}\\${group}\\d{3}$`).test(text(typed).trim());
}

function sentValue(field, typed) {
  if (field.control === "scale") return typed;
  return field.control === "number" ? number(typed) : text(typed).trim();
}

// The values to send, nested like the page of a day.
export function sentFields(fields, typed) {
  const sent = {};
  for (const field of fields) {
    const parent = field.path.slice(0, -1).reduce((table, name) => (table[name] ??= {}), sent);
    parent[field.path.at(-1)] = sentValue(field, typed[fieldKey(field)]);
  }
  return sent;
}
