// The two sides of a field that was changed here and elsewhere: in words, and both together.

import { fieldKey } from "./day_fields.js";

// What is written in words can stand beside the other; of all else there is one.
const WRITTEN = ["gratitude", "memory", "notes"];

export function both({ yours, theirs }) {
  if (typeof theirs === "string") return [theirs, yours].filter((text) => text.trim()).join("\n");
  return [...new Set([...theirs, ...yours])].filter((line) => line.trim());
}

export const canKeepBoth = (conflict) => WRITTEN.includes(conflict.field);

const offered = (name, offer) =>
  offer.fields.find((one) => fieldKey(one) === name) ?? offer.tomorrow.fields.find((one) => `tomorrow.${fieldKey(one)}` === name);

export function valueText({ field }, given, offer) {
  const [kind] = field.split(".");
  if (given === null || given === undefined || given === "") return "nothing";
  const scale = offered(field, offer)?.steps ?? [];
  if (scale.length) {
    const step = scale.find((one) => one.value === given);
    return step ? `${step.value} ${step.word}` : String(given);
  }
  if (kind === "share") return given ? "yes" : "no";
  if (given === true) return "done";
  if (given === false) return "not done";
  if (Array.isArray(given)) {
    const parts = given.map((one) => (typeof one === "string" ? one : [one.start, one.end, one.title].filter(Boolean).join(" "))).filter(Boolean);
    return parts.join("\n") || "nothing";
  }
  return String(given);
}
