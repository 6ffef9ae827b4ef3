// Edits of a day's hours as a list of spans { category, from, to } in minutes from midnight, sorted by start. No function
// changes its arguments. A span that is painted or moved takes its minutes from the others, so no edit makes an overlap.

import { DAY } from "./times.js";

export const STEP = 15; // minutes: gestures snap to a quarter of an hour
export const FINE = 5; // with Alt
export const COARSE = 60; // with Shift
export const ERASER = Symbol("eraser"); // in place of a category

export const clamp = (value, low, high) => Math.min(Math.max(value, low), high);

// The nearest step within the day.
export function snap(minutes, step = STEP) {
  return clamp(Math.round(minutes / step) * step, 0, DAY);
}

// Spans of lines of text have their index as `place`.
const isOne = (one, other) => one === other || (one.place !== undefined && one.place === other.place);
const byStart = (spans) => [...spans].sort((one, other) => one.from - other.from);

// The spans without the minutes from `from` to `to`: a span there is shortened, split in two, or removed.
export function erase(spans, { from, to }) {
  return spans.flatMap((span) => {
    if (span.to <= from || span.from >= to) return [span];
    const before = span.from < from ? [{ ...span, to: from }] : [];
    const after = span.to > to ? [{ ...span, from: to }] : [];
    return [...before, ...after];
  });
}

// The spans with a category painted over the minutes from `from` to `to`. It joins the spans of its category that it
// overlaps or touches, so that a block grows by painting beside it.
export function paint(spans, category, { from, to }) {
  if (to <= from) return spans;
  const joined = spans.filter((span) => span.category === category && span.from <= to && span.to >= from);
  const painted = { category, from: Math.min(from, ...joined.map((span) => span.from)), to: Math.max(to, ...joined.map((span) => span.to)) };
  return byStart([...erase(spans.filter((span) => !joined.includes(span)), { from, to }), painted]);
}

// The spans with `span` moved to other times.
export function put(spans, span, { from, to }) {
  const moved = { ...span, from, to };
  return byStart([...erase(spans.filter((other) => !isOne(other, span)), moved), moved]);
}

// The spans after an edit: { kind: "paint", category, from, to }, { kind: "put", span, from, to },
// { kind: "recolour", span, category } or { kind: "remove", span }. `span` is one of the spans.
export function edited(spans, edit) {
  if (edit.kind === "paint") return edit.category === ERASER ? erase(spans, edit) : paint(spans, edit.category, edit);
  if (edit.kind === "put") return put(spans, edit.span, edit);
  if (edit.kind === "remove") return spans.filter((span) => !isOne(span, edit.span));
  return spans.map((span) => (isOne(span, edit.span) ? { ...span, category: edit.category } : span));
}

// The times of a span after moving `part` of it ("whole", "start" or "end") by some minutes. The moved end goes to a
// multiple of `step`; a whole span keeps its length. A span has at least FINE minutes.
export function moveSpan({ from, to }, part, by, step = 1) {
  const near = (minutes) => Math.round(minutes / step) * step;
  if (part === "start") return { from: clamp(near(from + by), 0, Math.max(Math.floor((to - FINE) / step) * step, 0)), to };
  if (part === "end") return { from, to: clamp(near(to + by), Math.min(Math.ceil((from + FINE) / step) * step, DAY), DAY) };
  const start = clamp(near(from + by), 0, DAY - (to - from));
  return { from: start, to: start + to - from };
}

// The hour from the quarter of an hour at an open minute, up to the next span. Null where a span is.
export function openHour(spans, minute) {
  const start = Math.min(Math.floor(minute / STEP) * STEP, DAY - STEP);
  if (spans.some((span) => span.from <= minute && minute < span.to)) return null;
  const from = Math.max(start, ...spans.filter((span) => span.to <= minute).map((span) => span.to));
  const to = Math.min(start + COARSE, DAY, ...spans.filter((span) => span.from > minute).map((span) => span.from));
  return to > from ? { from, to } : null;
}

// The minutes that other categories lost by an edit, as [category, minutes] pairs.
export function taken(before, after, category) {
  const total = (spans, key) => spans.reduce((sum, span) => sum + (span.category === key ? span.to - span.from : 0), 0);
  return [...new Set(before.map((span) => span.category))]
    .filter((key) => key !== category)
    .map((key) => [key, total(before, key) - total(after, key)])
    .filter(([, minutes]) => minutes > 0);
}
