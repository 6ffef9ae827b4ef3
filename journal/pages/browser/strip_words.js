// What an edit of the strip did, in words: the line below the strip, which is also read out.

import { nameOf } from "./category_paint.js";
import { ERASER, taken } from "./strip_edit.js";
import { formatMinutes, formatRange } from "./times.js";
import { _ } from "./texts.js";

export function describeEdit(edit, before, after, categories, clock) {
  const range = (span) => formatRange(span, clock);
  if (edit.kind === "remove") return _("{category} {times} deleted.", { category: nameOf(categories, edit.span.category), times: range(edit.span) });
  if (edit.category === ERASER) return _("{times} erased.", { times: range(edit) });
  const category = edit.category ?? edit.span.category;
  const words = { category: nameOf(categories, category), times: range(edit.kind === "recolour" ? edit.span : edit) };
  const lost = edit.kind === "recolour" ? [] : taken(before, after, category);
  if (!lost.length) return _("{category} {times}.", words);
  const each = lost.map(([key, minutes]) => _("{time} of {category}", { time: formatMinutes(minutes), category: nameOf(categories, key) }));
  return _("{category} {times}, in place of {lost}.", { ...words, lost: each.join(_(" and ")) });
}
