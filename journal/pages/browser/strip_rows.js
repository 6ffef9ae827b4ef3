// The geometry of the strip: the day in one row of 24 hours, two of 12 or four of 6, and the minute at a point.

import { clamp, STEP } from "./strip_edit.js";
import { DAY } from "./times.js";

const FINE_QUARTER = 5; // px of a quarter of an hour that a mouse can hit
const COARSE_QUARTER = 10; // px that a thumb can hit, with the time shown while it moves

// The least number of rows in which a quarter of an hour is wide enough for the pointer.
export function rowCount(width, isCoarse) {
  const wanted = isCoarse ? COARSE_QUARTER : FINE_QUARTER;
  return [1, 2].find((rows) => (width * rows * STEP) / DAY >= wanted) || 4;
}

// The pieces of a span, one a row: { row, from, to, left, width }, the last two as shares of the row.
export function pieces({ from, to }, rows) {
  const length = DAY / rows;
  return Array.from({ length: rows }, (_, row) => row).flatMap((row) => {
    const start = Math.max(from, row * length);
    const end = Math.min(to, (row + 1) * length);
    return start < end ? [{ row, from: start, to: end, left: start / length - row, width: (end - start) / length }] : [];
  });
}

// The row of an end of a span and its place there as a share. A start at a row's end is at the beginning of the next.
export function placeOfEdge(minute, part, rows) {
  const length = DAY / rows;
  const row = clamp(part === "end" ? Math.ceil(minute / length) - 1 : Math.floor(minute / length), 0, rows - 1);
  return { row, left: minute / length - row };
}

const TARGET = 24; // px: the least width of what can be pressed (WCAG 2.2, 2.5.8)

// Of the pieces of blocks in a row, the narrow one that a press at `x` is for: the nearest of those whose width would hold
// the press if it were `TARGET`. Null for none, or if the press is on a piece that could not spare the place.
// `boxes` are { left, width } in px.
export function narrowAt(boxes, x) {
  const middle = ({ left, width }) => left + width / 2;
  const pressed = boxes.find(({ left, width }) => left <= x && x <= left + width);
  if (pressed && pressed.width >= TARGET && pressed.width < 2 * TARGET) return null;
  const near = boxes.filter((box) => box.width < TARGET && Math.abs(x - middle(box)) <= TARGET / 2);
  return near.sort((one, other) => Math.abs(x - middle(one)) - Math.abs(x - middle(other)))[0] ?? null;
}

// The minute at a point, as { row, minute }. `lanes` are the rectangles of the rows. Between two rows and outside of all,
// the point belongs to `row`, the last it was in, so that a finger may drift without changing the row.
export function minuteAt({ x, y }, lanes, row = null) {
  const inside = lanes.findIndex((lane) => y >= lane.top && y <= lane.bottom);
  const distance = (lane) => Math.max(lane.top - y, y - lane.bottom);
  const nearest = () => lanes.reduce((best, lane, at) => (distance(lane) < distance(lanes[best]) ? at : best), 0);
  const at = inside >= 0 ? inside : row ?? nearest();
  const { left, width } = lanes[at];
  return { row: at, minute: ((at + clamp((x - left) / width, 0, 1)) * DAY) / lanes.length };
}
