// What an edit of the strip did, in words: the line below the strip, which is also read out.

import { nameOf } from "./category_paint.js";
import { ERASER, taken } from "./strip_edit.js";
import { formatMinutes, formatRange } from "./times.js";

export function describeEdit(edit, before, after, categories, clock) {
  const range = (span) => formatRange(span, clock);
  if (edit.kind === "remove") return `${nameOf(categories, edit.span.category)} ${range(edit.span)} deleted.`;
  if (edit.category === ERASER) return `${range(edit)} erased.`;
  const category = edit.category ?? edit.span.category;
  const lost = edit.kind === "recolour" ? [] : taken(before, after, category);
  const cost = lost.map(([key, minutes]) => `${formatMinutes(minutes)} of ${nameOf(categories, key)}`).join(" and ");
  return `${nameOf(categories, category)} ${range(edit.kind === "recolour" ? edit.span : edit)}${cost && `, in place of ${cost}`}.`;
}
