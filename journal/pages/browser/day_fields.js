// The fields of a day that the form is offered: what is typed in each, and what is sent of it.

const text = (value) => (value === null || value === undefined ? "" : String(value));

export const fieldKey = (field) => field.path.join(".");
export const fieldName = ({ label, unit }) => (unit ? `${label}, ${unit}` : label);

// What stands in each control: a chosen step, else a text as it was typed.
export function typedFields(fields) {
  return Object.fromEntries(fields.map((field) => [fieldKey(field), field.control === "scale" ? field.value : text(field.value)]));
}

// A number as it was typed becomes a number; anything else goes as it is, and the answer says what is wrong with it.
export function number(typed) {
  const cleaned = text(typed).trim().replace(",", ".");
  if (cleaned === "") return null;
  return /^-?\d+(\.\d+)?$/.test(cleaned) ? Number(cleaned) : text(typed).trim();
}

function sentValue(field, typed) {
  if (field.control === "scale") return typed;
  return field.control === "number" ? number(typed) : text(typed).trim();
}

// The fields as the page of a day has them, those of a table in that table.
export function sentFields(fields, typed) {
  const sent = {};
  for (const field of fields) {
    const above = field.path.slice(0, -1).reduce((table, name) => (table[name] ??= {}), sent);
    above[field.path.at(-1)] = sentValue(field, typed[fieldKey(field)]);
  }
  return sent;
}
