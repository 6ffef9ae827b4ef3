// The place on the strip for the keyboard: arrow keys move it, Enter begins a span, and Enter again paints it.

import { make } from "./elements.js";
import { cursorKey, minutesOfKey } from "./keyboard.js";
import { clamp } from "./strip_edit.js";
import { DAY, formatMinutes, formatTime } from "./times.js";
import { _ } from "./texts.js";

// `whatIs(minute)` names what the strip has there; `hand()` is the category in hand; `shown(span)` previews a span, or
// ends the preview with null; `paint(span)` paints it; `refuse()` says that nothing is in hand.
export function stripCursor({ name, clock, begin, whatIs, hand, shown, paint, refuse }) {
  let minute = begin;
  let anchor = null;
  const element = make("div", {
    class: "cursor", role: "slider", tabindex: "0", "aria-label": _("{name}: a place to draw", { name }), "aria-valuemin": "0", "aria-valuemax": String(DAY),
    "aria-orientation": "horizontal", "aria-keyshortcuts": "ArrowLeft ArrowRight Enter Escape",
  });

  const span = () => ({ from: Math.min(anchor, minute), to: Math.max(anchor, minute) });
  const tell = () => {
    const { from, to } = anchor === null ? { from: minute, to: minute } : span();
    const here = anchor === null ? whatIs(minute) : _("the span begins");
    const times = from === to ? `${formatTime(minute, clock)}, ${here}` : _("{from} to {to}, {time}", { from: formatTime(from, clock), to: formatTime(to, clock), time: formatMinutes(to - from) });
    element.setAttribute("aria-valuenow", String(minute));
    element.setAttribute("aria-valuetext", times);
  };
  const stop = () => {
    anchor = null;
    shown(null);
    tell();
  };

  element.addEventListener("keydown", (event) => {
    const action = cursorKey(event);
    if (!action || (action === "leave" && anchor === null)) return;
    event.preventDefault();
    event.stopPropagation();
    if (action === "move") minute = clamp(minute + minutesOfKey(event), 0, DAY);
    else if (action === "first" || action === "last") minute = action === "first" ? 0 : DAY;
    else if (action === "leave") return stop();
    else if (hand() === null) return refuse();
    else if (anchor === null) anchor = minute;
    else {
      const drawn = span();
      stop();
      if (drawn.to > drawn.from) paint(drawn);
      return null;
    }
    tell();
    return shown(anchor === null ? null : span());
  });
  element.addEventListener("blur", () => {
    if (anchor !== null && element.isConnected) stop();
  });
  tell();
  return { element, tell, minute: () => minute };
}
