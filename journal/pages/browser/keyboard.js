// Key bindings: each function maps a key event of a control to an action, or to null if the control ignores the key.
// Only `key` and the modifiers of an event are used, so tests can pass plain objects.

import { clamp, COARSE, FINE, STEP } from "./strip_edit.js";
import { _ } from "./texts.js";

const modified = (event) => Boolean(event.ctrlKey || event.metaKey || event.altKey);

// Ctrl+S, or Cmd+S.
export function savesPage(event) {
  return event.key === "s" && Boolean(event.ctrlKey || event.metaKey);
}

// The key that saves, as its keyboard names it, and as aria-keyshortcuts has it; `next` goes to the next card. `platform` is that of the navigator.
export function saveKey(platform) {
  const isMac = /^(Mac|iP)/.test(platform);
  return isMac ? { name: _("Cmd+S"), shortcut: "Meta+S", next: _("Cmd+Enter") } : { name: _("Ctrl+S"), shortcut: "Control+S", next: _("Ctrl+Enter") };
}

// The strip: minutes by which an arrow key moves a block or its edge, or 0.
export function minutesOfKey(event) {
  const sign = { ArrowLeft: -1, ArrowDown: -1, ArrowRight: 1, ArrowUp: 1 }[event.key] || 0;
  return sign && sign * (event.shiftKey ? COARSE : event.altKey ? FINE : STEP);
}

// A focused block: "move", "remove", "choose", or "edges" to choose it and focus its edges.
export function blockKey(event) {
  if (minutesOfKey(event)) return "move";
  if (event.key === "Delete" || event.key === "Backspace") return "remove";
  return { Enter: "edges", " ": "choose" }[event.key] || null;
}

// The place to draw on the strip: "move", "first" or "last" of the day, "draw" to begin and end a span, or "leave".
export function cursorKey(event) {
  if (minutesOfKey(event)) return "move";
  return { Home: "first", End: "last", Enter: "draw", " ": "draw", Escape: "leave" }[event.key] || null;
}

// The keys of the categories, in order: 1 to 9, then letters. The eraser has 0.
export const handKeys = (count) => [..."123456789abcdefghijklmnopqrstuvwxyz"].slice(0, count);

// A category by its key: { category }, with `eraser` for 0, or null.
export function handKey(event, categories, eraser) {
  if (modified(event) || event.shiftKey) return null;
  if (event.key === "0") return { category: eraser };
  const place = handKeys(categories.length).indexOf(event.key.toLowerCase());
  return place < 0 ? null : { category: categories[place].key };
}

// "undo" for Ctrl+Z or Cmd+Z, "redo" with Shift or for Ctrl+Y, or null.
export function historyKey(event) {
  if (!(event.ctrlKey || event.metaKey) || event.altKey) return null;
  const key = event.key.toLowerCase();
  if (key === "z") return event.shiftKey ? "redo" : "undo";
  return key === "y" ? "redo" : null;
}

// An edge of a block: "move", or the next focus: "start", "end", "block". Tab leaves the block forwards from its end
// and backwards from its start.
export function edgeKey(event, part) {
  if (minutesOfKey(event)) return "move";
  if (event.key === "Escape") return "block";
  if (event.key !== "Tab") return null;
  if (part === "start" && !event.shiftKey) return "end";
  return part === "end" && event.shiftKey ? "start" : null;
}

// Marks and other choices: { place } of the option with that key, or { place: null } to clear the choice.
export function choiceKey(event, options) {
  if (event.key === "Backspace" || event.key === "Delete") return { place: null };
  if (modified(event)) return null;
  const place = options.findIndex((option) => option.key && option.key === event.key.toLowerCase());
  return place < 0 ? null : { place };
}

// A rank: { rank } for a digit up to `count`; 0 gives { rank: null }.
export function rankKey(event, count) {
  if (!/^\d$/.test(event.key) || Number(event.key) > count) return null;
  return { rank: Number(event.key) || null };
}

// A list of rows: the number of rows by which an arrow moves the focus, or 0.
export function rowKey(event) {
  return modified(event) ? 0 : { ArrowUp: -1, ArrowDown: 1 }[event.key] || 0;
}

// The cards of a form: Ctrl+Enter, or Cmd+Enter, goes to the next (1), with Shift to the one before (-1), else 0.
export function cardKey(event) {
  if (event.key !== "Enter" || !(event.ctrlKey || event.metaKey) || event.isComposing) return 0;
  return event.shiftKey ? -1 : 1;
}

// A grid: the [row, column] that an arrow key, Home or End moves to. At a border it is the same cell.
export function gridMove(event, [row, column], [rows, columns]) {
  if (modified(event)) return null;
  const step = { ArrowUp: [-1, 0], ArrowDown: [1, 0], ArrowLeft: [0, -1], ArrowRight: [0, 1] }[event.key];
  if (step) return [clamp(row + step[0], 0, rows - 1), clamp(column + step[1], 0, columns - 1)];
  if (event.key === "Home") return [row, 0];
  return event.key === "End" ? [row, columns - 1] : null;
}

// A cell of the month: { what: "cycle" }, or { what: "mark", mark, typed }. `typed` are the digits of a count so far;
// `mark` is undefined while they are not a number yet.
export function monthKey(event, habit, typed) {
  if (modified(event)) return null;
  const counted = ["counted", "scale"].includes(habit.kind);
  const key = event.key.toLowerCase();
  if (habit.kind === "scale" && ["r", "d", "n", " ", "enter"].includes(key)) return null;
  if (habit.kind === "tick" && key === "r") return null;
  const mark = (value) => ({ what: "mark", mark: value, typed });
  const number = (digits) => (Number.isNaN(Number(digits)) ? undefined : Number(digits));
  if (key === " " || key === "enter") return { what: "cycle" };
  if (key === "r") return mark("rest");
  if (key === "d") return mark(counted ? habit.target ?? 1 : true);
  if (key === "n") return mark(counted ? 0 : false);
  if (key === "backspace" || key === "delete") {
    const left = typed.slice(0, -1);
    return { what: "mark", mark: left === "" ? null : number(left), typed: left };
  }
  if (!counted || !/^[\d.,]$/.test(key)) return null;
  const more = typed + key.replace(",", ".");
  return { what: "mark", mark: number(more), typed: more };
}

// Page previews: the number of the page that a key moves to, or null.
export function previewKey(event, at, pages) {
  const to = { ArrowRight: at + 1, ArrowLeft: at - 1, Home: 1, End: pages }[event.key];
  return at && to >= 1 && to <= pages ? to : null;
}

// The large page: the number of pages that a key turns, or 0.
export function turnKey(event) {
  return { ArrowRight: 1, ArrowLeft: -1, PageDown: 1, PageUp: -1 }[event.key] || 0;
}

// A line of text: whether Enter moves to the next line. With Shift, or during IME composition, it does not.
export function leavesLine(event) {
  return event.key === "Enter" && !event.shiftKey && !event.isComposing;
}

// One step back: Ctrl+Z, or Cmd+Z. With Shift it is the step forward of other programs, which these pages do not have.
export function stepsBack(event) {
  return event.key.toLowerCase() === "z" && Boolean(event.ctrlKey || event.metaKey) && !event.shiftKey && !event.altKey;
}

// Whether an element takes text and so has a step back of its own.
export function inTextField({ tagName, type, isContentEditable }) {
  if (tagName === "TEXTAREA" || isContentEditable) return true;
  return tagName === "INPUT" && !["checkbox", "radio", "button", "submit", "range", "color"].includes(type);
}
