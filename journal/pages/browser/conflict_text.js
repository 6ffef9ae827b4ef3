// Texts for a field that was changed both here and elsewhere, and the value that keeps both sides.

import { fieldKey } from "./day_fields.js";
import { _, numberText } from "./texts.js";

// Texts can be kept side by side. All other fields have a single value.
const TEXT_FIELDS = ["gratitude", "memory", "notes"];

export function both({ yours, theirs }) {
  if (typeof theirs === "string") return [theirs, yours].filter((text) => text.trim()).join("\n");
  return [...new Set([...theirs, ...yours])].filter((line) => line.trim());
}

export const canKeepBoth = (conflict) => conflict.canKeepBoth ?? TEXT_FIELDS.includes(conflict.field);

const offeredField = (name, offer) =>
  [...(offer.fields ?? []), ...(offer.planned_fields ?? [])].find((field) => fieldKey(field) === name) ?? offer.tomorrow?.fields.find((field) => `tomorrow.${fieldKey(field)}` === name);

export function valueText({ field }, given, offer) {
  const [kind] = field.split(".");
  if (given === null || given === undefined || given === "") return _("nothing");
  const scale = offeredField(field, offer)?.steps ?? [];
  if (scale.length) {
    const step = scale.find((candidate) => candidate.value === given);
    return step ? `${numberText(step.value)} ${step.word}` : numberText(given);
  }
  if (kind === "share") return given ? _("yes") : _("no");
  if (given === true) return _("done");
  if (given === false) return _("not done");
  if (Array.isArray(given)) {
    const parts = given.map((item) => (typeof item === "string" ? item : [item.start, item.end, item.title].filter(Boolean).join(" "))).filter(Boolean);
    return parts.join("\n") || _("nothing");
  }
  return String(given);
}
