// The editor of a day's hours: a strip to paint on, and the same hours as lines of text, e.g. "Sleep 22:30-24:00".
//
// The value is `sheet.now[key]`, a list of lines as they were typed. The editor changes this list in place, then calls
// `changed()` and `sheet.changed(key)`. `linesOfHours` and `hoursOfLines` (hour_lines.js) convert it from and to the hours of
// the files. A caller that changes the list, or what `view` returns, calls `draw()`; called before a save, `draw()` also
// takes over times that are still being typed. Problems are shown at `${path}.line.N` for each line, with `path` for those
// of the whole strip. Undo and the category in hand live as long as the editor.
//
//   sheet     { offer: { categories: [{ key, name, colour }], clock: 12 or 24 }, now, changed }
//   key       the name of the list in `sheet.now`
//   path      the path of its problems
//   name      the accessible name of the strip, e.g. "Hours of tomorrow"
//   open      whether the lines of text are open at first
//   view      returns what else the strip shows: { below: blocks, marks: [{ title, from, to }], daylight: [from, to] }
//   changed   called after each change, before `sheet.changed`
//   extra     an element to show between the strip and the lines
//
// Returns { element, draw }.

import { nameOf } from "./category_paint.js";
import { button, make, problemSpot } from "./elements.js";
import { chosenBlock } from "./chosen_block.js";
import { hourLineFields } from "./hour_line_fields.js";
import { linesOfBlocks, parseBlocks, parseLine } from "./hour_lines.js";
import { hoursStrip } from "./hours_strip.js";
import { historyKey } from "./keyboard.js";
import { edited, ERASER, moveSpan, openHour } from "./strip_edit.js";
import { stripHand } from "./strip_hand.js";
import { lineHistory } from "./strip_history.js";
import { describeEdit } from "./strip_words.js";
import { formatMinutes, formatRange } from "./times.js";
import { N_, _ } from "./texts.js";

const isSpan = (one, other) => one.category === other.category && one.from === other.from && one.to === other.to;

export function hoursEditor(sheet, { key, path, name, open, view = () => ({}), changed = () => {}, extra = null }) {
  const { categories, clock } = sheet.offer;
  const lines = () => sheet.now[key];
  const blocks = () => parseBlocks(lines(), categories);
  const history = lineHistory(lines());
  const said = make("p", { class: "hint", role: "status" });
  const total = make("p", { class: "hint" });
  let hand = null;
  let chosenSpan = null;
  let run = null; // the arrow keys on one block: the lines before them, its span there, where it is, and its part

  const chosen = () => (chosenSpan && blocks().find((block) => isSpan(block, chosenSpan))) || null;

  const say = (text) => {
    said.textContent = text;
  };

  // Sets the lines, and tells whoever listens. `next` is the span to choose.
  const set = (now, next, text) => {
    lines().splice(0, Infinity, ...now);
    chosenSpan = next;
    say(text);
    redraw();
    changed();
    sheet.changed(key);
  };

  // Applies an edit of the strip as one step of the history.
  const apply = (edit, next = null) => {
    const before = blocks();
    const after = edited(before, edit);
    run = null;
    history.note(lines());
    const now = linesOfBlocks(after, lines(), categories, clock);
    history.note(now);
    set(now, next, describeEdit(edit, before, after, categories, clock));
  };

  // An edit of a block leaves it chosen, if it was.
  const edit = (change, focused = null) => {
    if (change.kind === "paint") return apply(change);
    const isChosen = chosenSpan && isSpan(change.span, chosenSpan);
    const { category, from, to } = { ...change.span, ...change };
    apply(change, isChosen && change.kind !== "remove" ? { category, from, to } : null);
    if (change.kind === "remove") strip.focus(null);
    else if (focused) strip.focus(blocks().find((block) => isSpan(block, { category, from, to })), focused);
    return null;
  };

  // Moves a block by a key. Keys on one block are one step: a block that passes over others leaves them as they were.
  const nudge = (block, part, by) => {
    if (!run || run.part !== part || !isSpan(run.at, block)) run = { lines: [...lines()], span: block, at: block, part, isNew: true };
    const { from, to } = moveSpan(run.at, part, by);
    if (from === run.at.from && to === run.at.to) return;
    const before = parseBlocks(run.lines, categories);
    const change = { kind: "put", span: before.find((other) => other.place === run.span.place), from, to };
    const after = edited(before, change);
    if (run.isNew) history.note(run.lines);
    const now = linesOfBlocks(after, run.lines, categories, clock);
    history.note(now, !run.isNew);
    const wasChosen = chosenSpan && isSpan(chosenSpan, block);
    const span = { category: block.category, from, to };
    run = { ...run, at: span, isNew: false };
    set(now, wasChosen ? span : null, describeEdit(change, before, after, categories, clock));
    strip.focus(blocks().find((other) => isSpan(other, span)), part);
  };

  const choose = (block) => {
    const isAgain = block && chosenSpan && isSpan(block, chosenSpan);
    chosenSpan = isAgain ? null : block;
    run = null;
    if (chosenSpan) say(_("{category} {times}: move it or its ends, or change it below.", { category: nameOf(categories, block.category), times: formatRange(block, clock) }));
    else guide();
    redraw();
    if (block) strip.focus(chosen() || block);
    else strip.focus(null);
  };

  // A press on open ground: an hour of what is in hand, chosen so that its ends can be set.
  const tap = (minute) => {
    const span = openHour(blocks(), minute);
    if (span && hand !== null && hand !== ERASER) {
      apply({ kind: "paint", category: hand, ...span });
      return choose(blocks().find((block) => block.category === hand && block.from <= span.from && block.to >= span.to));
    }
    if (chosenSpan) return choose(null);
    return hand === null ? guide() : null;
  };

  // Escape ends the choice of a block, else puts the category away.
  const leave = () => {
    if (!chosenSpan) return pens.take(null);
    chosenSpan = null;
    guide();
    return redraw();
  };

  const guide = () => {
    if (hand === null) say(_("Choose what to draw, then draw over the hours."));
    else say(hand === ERASER ? _("Eraser: draw over the hours.") : _("{category}: draw over the hours, or press on open ones for an hour.", { category: nameOf(categories, hand) }));
  };

  const step = (direction) => {
    run = null;
    const now = history[direction](lines());
    if (!now) return say(direction === "undo" ? _("There is nothing to undo.") : _("There is nothing to redo."));
    return set(now, null, direction === "undo" ? _("Undone.") : _("Done again."));
  };

  const pens = stripHand({ name, categories, took: (category) => {
    hand = category;
    if (chosenSpan) chosenSpan = null;
    guide();
    redraw();
  } });
  const strip = hoursStrip({
    name, categories, clock, chosen,
    hand: () => hand,
    view: () => ({ blocks: blocks(), ...view() }),
    act: { edit, nudge, choose, tap, take: pens.take, refuse: guide },
  });
  const panel = chosenBlock({ path, categories, clock, edit, close: () => choose(chosen()) });
  const typed = hourLineFields({ name, path, categories, clock, lines, changed: () => {
    redraw();
    changed();
    sheet.changed(key);
  } });
  const undo = button(_("Undo"), () => step("undo"), { class: "quiet", "aria-keyshortcuts": "Control+Z" });
  const redo = button(_("Redo"), () => step("redo"), { class: "quiet", "aria-keyshortcuts": "Control+Shift+Z" });

  const redraw = () => {
    typed.check();
    strip.draw();
    panel.show(chosen());
    const unread = lines().filter((line) => line.trim() && parseLine(line, categories).wrong).length;
    const spent = blocks().reduce((sum, block) => sum + block.to - block.from, 0);
    total.textContent = unread ? _("{spent} of 24 h filled in, {count} not read yet.", { spent: formatMinutes(spent), count: unread }) : _("{spent} of 24 h filled in.", { spent: formatMinutes(spent) });
    undo.setAttribute("aria-disabled", String(!history.canUndo(lines())));
    redo.setAttribute("aria-disabled", String(!history.canRedo(lines())));
  };

  guide();
  redraw();
  const element = make(
    "div", { class: "hours", "data-field": path }, pens.element, strip.element,
    make("div", { class: "strip-foot" }, said, make("div", { class: "steps" }, undo, redo)), panel.element, total, extra, problemSpot(path),
    make("details", { open }, make("summary", { text: _("Write the times") }), typed.element),
    make("details", { class: "how" }, make("summary", { text: _("How to change the strip") }), HELP.map((text) => make("p", { class: "hint", text: _(text) }))),
  );
  element.addEventListener("keydown", (event) => {
    const direction = event.target.matches('input[type="text"]') ? null : historyKey(event);
    if (event.key === "Escape") leave();
    if (!direction) return;
    event.preventDefault();
    step(direction);
  });
  return {
    element,
    draw: () => {
      panel.settle();
      redraw();
    },
  };
}

const HELP = [
  N_("Choose a category, then draw over the hours, also over other blocks. A press on open hours draws one hour. Choose the category again to put it away."),
  N_("Press a block to choose it. A chosen block can be moved, and its ends too. Its times, its category and Delete are below the strip."),
  N_("By keyboard: 1, 2, 3 … choose a category and 0 the eraser. On the strip, arrow keys move the place to draw, Enter begins and ends a block. On a block, arrow keys move it by a quarter of an hour, with Shift by an hour, with Alt by five minutes; Enter goes to its ends; a category's key changes it; Delete removes it. Ctrl+Z undoes, Ctrl+Shift+Z does it again."),
];
