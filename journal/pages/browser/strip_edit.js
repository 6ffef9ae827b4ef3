// Edits of a block on the strip by pointer or key: minutes from midnight, on steps, within the day.

import { DAY } from "./times.js";

export const STEP = 15; // minutes: about the precision of a pointer on a strip of a column's width
export const FINE = 5; // with Alt
export const COARSE = 60; // with Shift

export const clamp = (value, low, high) => Math.min(Math.max(value, low), high);

// The nearest step within the day.
export function snap(minutes, step = STEP) {
  return clamp(Math.round(minutes / step) * step, 0, DAY);
}

// The block after moving `part` of it ("whole", "start" or "end") by some minutes. Its length is at least FINE; a whole
// block keeps its length. `settle` rounds the moved minute to a step.
export function moveBlock(block, part, by, settle = (minutes) => minutes) {
  const { from, to } = block;
  if (part === "start") return { from: clamp(settle(from + by), 0, to - FINE), to };
  if (part === "end") return { from, to: clamp(settle(to + by), from + FINE, DAY) };
  const start = clamp(settle(from + by), 0, DAY - (to - from));
  return { from: start, to: start + to - from };
}

// The block between the position of the press and the current one, in either direction.
export function drawBlock(anchor, other) {
  return { from: Math.min(anchor, other), to: Math.max(anchor, other) };
}

// A press without movement draws no block.
export const isBlock = ({ from, to }) => to - from >= FINE;

// The minute at an x position, clipped to the track.
export function minutesAt(x, { left, width }) {
  return clamp(((x - left) / width) * DAY, 0, DAY);
}

const [DARK, LIGHT] = ["#14151F", "#FFFFFF"];

// The dark or the light text, whichever has more contrast on a colour.
export function textColour(colour) {
  return contrast(DARK, colour) > contrast(LIGHT, colour) ? DARK : LIGHT;
}

// The contrast ratio of two colours (WCAG 2.2).
function contrast(one, other) {
  const [low, high] = [luminance(one), luminance(other)].sort((a, b) => a - b);
  return (high + 0.05) / (low + 0.05);
}

// The relative luminance of a colour, 0 to 1 (WCAG 2.2).
function luminance(colour) {
  const channel = (at) => {
    const value = parseInt(colour.slice(at, at + 2), 16) / 255;
    return value <= 0.04045 ? value / 12.92 : ((value + 0.055) / 1.055) ** 2.4;
  };
  return 0.2126 * channel(1) + 0.7152 * channel(3) + 0.0722 * channel(5);
}
