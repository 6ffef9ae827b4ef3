// The bar of "Will it fit?": its parts in percent of the longest one, and a text alternative.

import { formatMinutes } from "./times.js";
import { _ } from "./texts.js";

export function capacityParts(now) {
  const { planned, expected, low, high, room, work } = numbers(now);
  const whole = Math.max(planned || 0, expected || 0, high || 0, room || 0, 1);
  const part = (kind, from, to) => ({ kind, left: (from / whole) * 100, width: (Math.max(to - from, 0) / whole) * 100 });
  const parts = [
    room !== null && part("open", 0, room),
    part("planned", 0, planned || 0),
    expected !== null && expected > (planned || 0) && part("expected", planned || 0, expected),
    low !== null && high !== null && part("range", low, high),
    room !== null && part("end", room, room),
  ];
  const words = [_("Planned {planned}", { planned: formatMinutes(planned || 0) })];
  if (expected !== null && expected !== planned) words.push(_("expected {time}", { time: formatMinutes(Math.round(expected)) }));
  if (low !== null && high !== null) words.push(_("likely between {low} and {high}", { low: formatMinutes(Math.round(low)), high: formatMinutes(Math.round(high)) }));
  if (room !== null) words.push(work ? _("room for {room}, {work} of it in work hours", { room: formatMinutes(room), work: formatMinutes(work) }) : _("open time {room}", { room: formatMinutes(room) }));
  return { parts: parts.filter(Boolean), label: `${words.join(", ")}.` };
}

// The answer omits numbers that the journal does not know yet.
function numbers(now) {
  return Object.fromEntries(["planned", "expected", "low", "high", "room", "work"].map((key) => [key, typeof now[key] === "number" ? now[key] : null]));
}
