// The 24-hour strip: painted with a pointer or by the keyboard, with one block chosen at most. It draws what `view`
// returns and reports edits; the lines of hours_editor.js are its data.

import { nameOf, paint } from "./category_paint.js";
import { make } from "./elements.js";
import { overlaps } from "./hour_lines.js";
import { blockKey, edgeKey, handKey, minutesOfKey } from "./keyboard.js";
import { addBlock, addPieces, percent, stripRows } from "./strip_blocks.js";
import { stripCursor } from "./strip_cursor.js";
import { edited, ERASER, moveSpan, snap, STEP } from "./strip_edit.js";
import { pointerDrags } from "./strip_pointer.js";
import { minuteAt, narrowAt, pieces, placeOfEdge, rowCount } from "./strip_rows.js";
import { DAY, formatRange } from "./times.js";
import { _ } from "./texts.js";

// `view` returns { blocks, below, marks, daylight }, `hand` the category in hand, ERASER or null, `chosen` a block or
// null. `act` applies: edit(edit) as in strip_edit.js, nudge(block, part, minutes), choose(block or null), tap(minute) on
// open ground, take(category), refuse() if nothing is in hand.
export function hoursStrip({ name, categories, clock, view, hand, chosen, act }) {
  const track = make("div", { class: "track" });
  const root = make("div", { class: "strip", role: "group", "aria-label": name }, track);
  const coarse = matchMedia("(pointer: coarse)");
  let rows = [];
  let drawn = null; // the gesture that is not finished: its edit, its span, and the minute that moves

  const lanes = () => rows.map(({ lane }) => lane.getBoundingClientRect());
  const at = (event, row) => minuteAt({ x: event.clientX, y: event.clientY }, lanes(), row);

  const cursor = stripCursor({
    name, clock, hand,
    begin: firstOpen(view().blocks),
    whatIs: (minute) => {
      const block = view().blocks.find(({ from, to }) => from <= minute && minute < to);
      return block ? nameOf(categories, block.category) : "open";
    },
    shown: (span) => show(span && { edit: { kind: "paint", category: hand(), ...span }, span, at: cursor.minute() }),
    paint: (span) => act.edit({ kind: "paint", category: hand(), ...span }),
    refuse: act.refuse,
  });
  cursor.element.addEventListener("keydown", (event) => {
    const key = handKey(event, categories, ERASER);
    if (key) act.take(key.category);
  });

  const show = (gesture) => {
    drawn = gesture;
    showSketch();
    placeCursor();
  };

  // The part of the chosen block that is pressed. Blocks and edges that are not chosen are ground to paint on.
  const partOf = (element) => {
    const pressed = element.closest(".block.chosen, .edge.handle");
    return pressed ? { block: chosen(), part: pressed.dataset.part || "whole" } : null;
  };
  const pointer = pointerDrags(track, {
    at, target: partOf,
    drag: ({ target, start, now, step, row }) => {
      if (!target && hand() === null) return act.refuse();
      const span = target ? moveSpan(target.block, target.part, now - start, step) : spanOf(snap(start, step), snap(now, step));
      const edit = target ? { kind: "put", span: target.block, ...span } : { kind: "paint", category: hand(), ...span };
      return show({ edit, span, row, at: target && target.part !== "end" ? span.from : target ? span.to : snap(now, step) });
    },
    drop: () => {
      const { edit, span } = drawn || {};
      show(null);
      if (edit && span.to > span.from) act.edit(edit);
      cursor.element.focus({ preventScroll: true });
    },
    cancel: () => show(null),
  });

  track.addEventListener("click", (event) => {
    const { element: pressed, minute, x } = pointer.pressed(event);
    const block = narrowBlock(pressed, x) ?? pressed.closest(".block");
    if (block) act.choose(blockAt(block.dataset.place));
    else if (minute !== null && pressed.closest(".lane") && !pressed.closest(".edge")) act.tap(minute);
  });

  // A narrow block is as wide to a press as any other target.
  const narrowBlock = (pressed, x) => {
    const lane = x !== null && !pressed.closest(".edge.handle") && pressed.closest(".lane");
    if (!lane) return null;
    const boxes = [...lane.querySelectorAll(".blocks > .block")].map((element) => {
      const { left, width } = element.getBoundingClientRect();
      return { element, left, width };
    });
    return narrowAt(boxes, x)?.element ?? null;
  };

  const blockAt = (place) => view().blocks.find((block) => String(block.place) === place);
  const element = (place, part) => root.querySelector(`[data-place="${place}"][data-part="${part}"]`);
  const focus = (block, part = "whole") => (block ? element(block.place, part) : cursor.element)?.focus({ preventScroll: true });

  const pressedKey = (event, block, part) => {
    const action = part === "whole" ? blockKey(event) : edgeKey(event, part);
    const key = !action && part === "whole" && handKey(event, categories, null);
    if (!action && !key?.category) return;
    event.preventDefault();
    event.stopPropagation();
    if (key) act.edit({ kind: "recolour", span: block, category: key.category }, part);
    else if (action === "move") act.nudge(block, part, minutesOfKey(event));
    else if (action === "remove") act.edit({ kind: "remove", span: block });
    else if (action === "choose") act.choose(block);
    else if (action === "edges") {
      if (chosen()?.place !== block.place) act.choose(block);
      focus(block, "start");
    } else focus(block, action === "block" ? "whole" : action);
  };

  const addBlocks = (spans, layer, isChosen) => {
    const width = rows[0].lane.clientWidth || 480;
    for (const span of [...spans].sort((one, other) => one.from - other.from)) {
      addBlock(rows, span, layer, { categories, clock, width, isChosen: isChosen(span), onkeydown: (event, part) => pressedKey(event, span, part) });
    }
  };

  const render = () => {
    const { blocks, below, marks, daylight } = view();
    for (const row of rows) for (const layer of ["blocks", "under"]) row[layer].replaceChildren();
    showSketch();
    if (daylight) addPieces(rows, { from: daylight[0], to: daylight[1] }, "blocks", () => make("div", { class: "daylight" }));
    addBlocks(blocks, "blocks", (span) => chosen()?.place === span.place);
    for (const pair of overlaps(blocks)) addPieces(rows, pair, "blocks", () => make("div", { class: "overlap", title: _("two at once, {times}", { times: formatRange(pair, clock) }) }));
    for (const mark of marks || []) addPieces(rows, { from: mark.from, to: Math.max(mark.to, mark.from + STEP) }, "blocks", () => make("div", { class: "appointment-mark", title: mark.title }));
    for (const bar of below || []) addPieces(rows, bar, "under", () => painted("planned-bar", bar.category));
    for (const { under } of rows) under.hidden = !below;
    cursor.tell();
    placeCursor();
  };

  const placeCursor = () => {
    const { row, left } = placeOfEdge(cursor.minute(), "start", rows.length);
    cursor.element.style.left = percent(left);
    cursor.element.style.top = `${rows[row].lane.offsetTop}px`;
  };

  const painted = (kind, category) => paint(make("div", { class: kind }), categories, category);

  // The strip as a gesture would leave it, with the span of the gesture and its times above the end that moves.
  const showSketch = () => {
    for (const { lane, sketch } of rows) {
      sketch.replaceChildren();
      lane.classList.toggle("in-sketch", Boolean(drawn));
    }
    if (!drawn) return;
    const { edit, span, at: minute } = drawn;
    const isMoved = (one) => edit.kind === "put" && one.place === edit.span.place && one.from === edit.from;
    addBlocks(edited(view().blocks, edit), "sketch", isMoved);
    if (span.to <= span.from) return;
    const isErased = edit.category === ERASER;
    if (edit.kind === "paint") addPieces(rows, span, "sketch", () => (isErased ? make("div", { class: "drawn erased" }) : painted("drawn", edit.category)));
    const parts = pieces(span, rows.length);
    const piece = parts.find(({ from, to }) => from <= minute && minute <= to) || parts[0];
    const times = make("div", { class: "drawn-times", text: formatRange(span, clock) });
    times.style.setProperty("--at", percent(piece.left + piece.width / 2));
    rows[piece.row].sketch.append(times);
  };

  // Draws the strip again. A drag that is going on is given up, since its blocks may be others now.
  const draw = () => {
    pointer.cancel();
    const focused = root.getRootNode().activeElement;
    const { place, part } = focused && root.contains(focused) ? focused.dataset : {};
    const count = rowCount(track.clientWidth || 480, coarse.matches);
    if (count !== rows.length) {
      rows = stripRows(count, clock);
      track.replaceChildren(cursor.element, ...rows.map(({ element }) => element));
      root.dataset.rows = String(count);
    }
    render();
    if (focused === cursor.element) focus(null);
    else if (place !== undefined) (element(place, part) || cursor.element).focus({ preventScroll: true });
  };

  let width = 0;
  const resized = () => {
    if (!pointer.isDragging()) draw();
  };
  new ResizeObserver(() => {
    if (track.clientWidth === width) return;
    width = track.clientWidth;
    resized();
  }).observe(track);
  // The query outlives the strip, so the listener of a strip that is gone ends itself.
  const repointed = () => {
    if (root.isConnected) resized();
    else coarse.removeEventListener("change", repointed);
  };
  coarse.addEventListener("change", repointed);
  draw();
  return { element: root, draw, focus };
}

const spanOf = (one, other) => ({ from: Math.min(one, other), to: Math.max(one, other) });

// The first minute without a block, to begin drawing at.
function firstOpen(blocks) {
  const open = [0, ...blocks.map(({ to }) => to)].sort((one, other) => one - other).find((minute) => !blocks.some(({ from, to }) => from <= minute && minute < to));
  return open === DAY ? 0 : open ?? 0;
}
