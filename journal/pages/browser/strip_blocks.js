// The elements of the strip: its rows, and the pieces and edges of a block. The first piece of a block is its button.

import { beginning, nameOf, paint } from "./category_paint.js";
import { make } from "./elements.js";
import { pieces, placeOfEdge } from "./strip_rows.js";
import { DAY, formatRange, formatTime } from "./times.js";
import { _ } from "./texts.js";

const LETTER = 7; // px, about the width of a letter of a name
const PADDING = 12; // px beside a name, both sides together
const SHORT_PADDING = 4; // px beside the beginning of a name
const NARROW = 40; // px: a chosen block below this width has its handles outside
const NARROWEST_NAME = 36; // px: a shorter rest of a name says nothing

export const percent = (share) => `${share * 100}%`;

// The empty rows: [{ element, lane, blocks, sketch, under }]. A lane has two layers: the blocks of its hours, and in
// their place what a gesture is drawing. So a gesture never removes the element that it began on, which would end it in
// some browsers. `under` has the bars of another strip.
export function stripRows(count, clock) {
  return Array.from({ length: count }, (_, row) => {
    const [blocks, sketch] = ["blocks", "sketch"].map((kind) => make("div", { class: `layer ${kind}` }));
    const lane = make("div", { class: "lane" }, blocks, sketch);
    const under = make("div", { class: "under", "aria-hidden": "true" });
    sketch.setAttribute("aria-hidden", "true");
    lane.style.setProperty("--hours", String(24 / count));
    return { element: make("div", { class: "row" }, lane, under, scaleOf(row, count, clock)), lane, blocks, sketch, under };
  });
}

function scaleOf(row, count, clock) {
  const hours = 24 / count;
  const step = { 1: 6, 2: 3, 4: 2 }[count];
  const marks = Array.from({ length: hours / step + 1 }, (_, at) => row * hours + at * step);
  return make("div", { class: "scale", "aria-hidden": "true" }, marks.map((hour) => {
    const mark = make("span", { text: clock === 24 ? String(hour) : [_("midnight"), _("noon")][(hour % 24) / 12] ?? (hour < 12 ? _("{time} am", { time: hour % 12 }) : _("{time} pm", { time: hour % 12 })) });
    mark.style.left = percent((hour - row * hours) / hours);
    return mark;
  }));
}

// Adds an element for each piece of a span to its row. Returns the elements.
export function addPieces(rows, span, where, element) {
  return pieces(span, rows.length).map((piece, at) => {
    const added = element(piece, at);
    added.style.left = percent(piece.left);
    added.style.width = percent(piece.width);
    rows[piece.row][where].append(added);
    return added;
  });
}

// Adds a block with its edges to a layer. `options` are { categories, clock, width, isChosen, onkeydown(event, part) },
// `width` that of a row in px.
export function addBlock(rows, block, layer, options) {
  const shares = pieces(block, rows.length);
  addPieces(rows, block, layer, (piece, at) => {
    const element = pieceOf(block, piece.width * options.width, options);
    if (at === 0) makeButton(element, block, options);
    element.classList.toggle("first", at === 0);
    element.classList.toggle("last", at === shares.length - 1);
    return element;
  });
  for (const part of ["start", "end"]) {
    const { row, left } = placeOfEdge(part === "start" ? block.from : block.to, part, rows.length);
    const isNarrow = shares.at(part === "start" ? 0 : -1).width * options.width < NARROW;
    const edge = edgeOf(block, part, options);
    edge.classList.toggle("outside", isNarrow);
    edge.style.left = percent(left);
    rows[row][layer].append(edge);
  }
}

function pieceOf(block, width, { categories, clock, isChosen }) {
  const title = nameOf(categories, block.category);
  const element = make("div", { class: "block", title: `${title} ${formatRange(block, clock)}`, "data-place": String(block.place) });
  element.classList.toggle("chosen", isChosen);
  const short = beginning(categories, block.category);
  if (width - PADDING >= Math.min(title.length * LETTER, NARROWEST_NAME)) element.append(make("span", { class: "block-name", "aria-hidden": "true", text: title }));
  else if (width >= short.length * LETTER + SHORT_PADDING) element.append(make("span", { class: "block-name short", "aria-hidden": "true", text: short }));
  return paint(element, categories, block.category);
}

function makeButton(element, block, { categories, clock, isChosen, onkeydown }) {
  const attributes = {
    tabindex: "0", role: "button", "data-part": "whole", "aria-roledescription": _("block of hours"), "aria-pressed": String(isChosen),
    "aria-label": _("{category}, {from} to {to}", { category: nameOf(categories, block.category), from: formatTime(block.from, clock), to: formatTime(block.to, clock) }),
    "aria-keyshortcuts": "ArrowLeft ArrowRight Enter Space Delete",
  };
  for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, value);
  element.addEventListener("keydown", (event) => onkeydown(event, "whole"));
}

function edgeOf(block, part, { categories, clock, isChosen, onkeydown }) {
  const minute = part === "start" ? block.from : block.to;
  const edge = make("div", {
    class: `edge ${part}`, role: "slider", tabindex: "-1", "data-part": part, "data-place": String(block.place),
    "aria-label": part === "start" ? _("{category} starts", { category: nameOf(categories, block.category) }) : _("{category} ends", { category: nameOf(categories, block.category) }), "aria-valuemin": "0", "aria-valuemax": String(DAY),
    "aria-valuenow": String(minute), "aria-valuetext": formatTime(minute, clock), "aria-orientation": "horizontal",
  });
  edge.classList.toggle("handle", isChosen);
  edge.addEventListener("keydown", (event) => onkeydown(event, part));
  return edge;
}
