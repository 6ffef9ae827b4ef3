// Pointer gestures on the strip. A touch that begins up or down scrolls the page and nothing else. A move of less than a
// step is no drag, and its click is left to the page. A drag ends well on release; Escape, a second finger and what the
// browser takes for itself (pointercancel) end it without an effect.

import { FINE, STEP } from "./strip_edit.js";

const SLOP = 6; // px after which a touch has a direction

// `at(event, row)` returns { row, minute }, `target(element)` what is dragged by a press on an element. `drag` is called with { target, start, now,
// step, row } at each move, then `drop` or `cancel`. Returns { cancel, isDragging, pressed }.
export function pointerDrags(surface, { at, target, drag, drop, cancel }) {
  let press = null;
  let last = null; // the last press: { element, minute, x }
  let wasDragged = false;

  const end = (isKept) => {
    if (!press) return;
    const { isDragging, id } = press;
    press = null;
    for (const [type, listener] of LISTENERS) document.removeEventListener(type, listener, true);
    if (surface.hasPointerCapture(id)) surface.releasePointerCapture(id);
    if (isDragging) (isKept ? drop : cancel)();
  };

  const moved = (event) => {
    if (event.pointerId !== press.id) return;
    if (press.isMouse && !(event.buttons & 1)) return end(false); // released outside of the window
    const [across, along] = [Math.abs(event.clientX - press.x), Math.abs(event.clientY - press.y)];
    if (!press.isMouse && !press.hasDirection) {
      if (Math.max(across, along) < SLOP) return;
      if (along > across) return end(false);
      press.hasDirection = true;
    }
    const { row, minute } = at(event, press.row);
    const step = event.altKey ? FINE : STEP;
    if (!press.isDragging && Math.abs(minute - press.start) < step) return;
    if (!press.isDragging) {
      press.isDragging = wasDragged = true;
      surface.setPointerCapture(press.id);
    }
    press.row = row;
    drag({ target: press.target, start: press.start, now: minute, step, row });
  };

  const LISTENERS = [
    ["pointermove", moved],
    ["pointerup", (event) => {
      if (event.pointerId === press.id) end(true);
    }],
    ["pointercancel", (event) => {
      if (event.pointerId === press.id) end(false);
    }],
    ["keydown", (event) => {
      if (event.key !== "Escape" || !press.isDragging) return;
      event.stopPropagation();
      end(false);
    }],
  ];

  surface.addEventListener("pointerdown", (event) => {
    if (press) return end(false); // a second finger
    if (event.button !== 0 || !event.isPrimary) return;
    const { row, minute } = at(event);
    wasDragged = false;
    // Not the target of the event: browsers give a finger's press to what is near and can be pressed.
    const element = surface.getRootNode().elementFromPoint(event.clientX, event.clientY);
    last = { element: surface.contains(element) ? element : surface, minute, x: event.clientX };
    press = { id: event.pointerId, isMouse: event.pointerType === "mouse", x: event.clientX, y: event.clientY, row, start: minute, target: target(last.element), isDragging: false, hasDirection: false };
    for (const [type, listener] of LISTENERS) document.addEventListener(type, listener, true);
  });
  // From its first move across. Without this, Chromium takes a drag that ends downwards for a throw of the page, and the next tap only stops it.
  surface.addEventListener("touchmove", (event) => {
    if (press?.hasDirection && event.cancelable) event.preventDefault();
  }, { passive: false });
  // The click after a drag. A click by a key or a screen reader has detail 0 and no press before it.
  surface.addEventListener("click", (event) => {
    if (wasDragged && event.detail > 0) event.stopPropagation();
  }, true);
  // What a click was pressed on, and the minute and the x there, null for a click that is at no place.
  const pressed = (click) => (click.detail > 0 && last) || { element: click.target, minute: null, x: null };
  return { cancel: () => end(false), isDragging: () => Boolean(press?.isDragging), pressed };
}
