// Times of the day as minutes from midnight, 0 to 1440, and back.

import { _ } from "./texts.js";

export const DAY = 1440;

export function formatTime(minutes, clock = 24) {
  const hour = Math.floor(minutes / 60);
  const minute = String(minutes % 60).padStart(2, "0");
  if (clock === 24) return `${String(hour).padStart(2, "0")}:${minute}`;
  const time = `${hour % 12 || 12}:${minute}`;
  return hour % 24 < 12 ? _("{time} am", { time }) : _("{time} pm", { time });
}

// In the format of the files, whatever clock the page shows.
export function formatFileRange(block) {
  return `${formatTime(block.from)}-${formatTime(block.to)}`;
}

export function formatRange(block, clock) {
  return clock === 24 ? formatFileRange(block) : _("{from} to {to}", { from: formatTime(block.from, clock), to: formatTime(block.to, clock) });
}

// The name of the day that an evening opens. For a day closed late it is not "tomorrow".
export function nextDayName(offer) {
  return offer.tomorrow.day === offer.today ? _("today") : _("tomorrow");
}

export function formatMinutes(minutes) {
  const hours = Math.floor(minutes / 60);
  const rest = minutes % 60;
  if (!hours) return _("{minutes} min", { minutes: rest });
  return rest ? _("{hours} h {minutes} min", { hours, minutes: rest }) : _("{hours} h", { hours });
}

// "6:15", "06.15", "6", "6:15 pm" -> { minutes }, or { wrong } with the remedy.
export function parseTime(text) {
  const match = /^(\d{1,2})(?:[:.](\d{2}))?\s*(am|pm|a\.m\.|p\.m\.)?$/i.exec(text.trim());
  if (!match) return { wrong: _("\"{value}\" is no time; write e.g. 22:30", { value: text.trim() }) };
  const half = match[3] ? match[3][0].toLowerCase() : "";
  let hour = Number(match[1]);
  const minute = Number(match[2] || 0);
  if (half && (hour < 1 || hour > 12)) return { wrong: _("there is no {value}; write e.g. 10:30 pm", { value: text.trim() }) };
  if (half) hour = (hour % 12) + (half === "p" ? 12 : 0);
  if (minute > 59 || hour > 24 || (hour === 24 && minute)) {
    return { wrong: _("there is no {value}; a day runs from 00:00 to 24:00", { value: text.trim() }) };
  }
  return { minutes: hour * 60 + minute };
}

// "22:30-24:00" -> { from, to }. Midnight as an end is the end of the day.
export function parseRange(text) {
  const ends = text.trim().split(/\s*(?:-|–|—|\bto\b|\bbis\b)\s*/);
  if (ends.length !== 2 || !ends[0] || !ends[1]) {
    return { wrong: _("expected a start and an end, got \"{value}\"; write e.g. 22:30-24:00", { value: text.trim() }) };
  }
  const [from, to] = ends.map(parseTime);
  if (from.wrong || to.wrong) return { wrong: from.wrong || to.wrong };
  // With the 12-hour clock, a whole day is written "12:00 am to 12:00 am".
  const end = to.minutes === 0 && (from.minutes > 0 || /m/i.test(ends[1])) ? DAY : to.minutes;
  if (end === from.minutes) {
    const wrong = end
      ? _("it ends when it starts; write a later end, e.g. 22:30-24:00")
      : _("it ends when it starts; the end of the day is 24:00, so write 00:00-24:00");
    return { wrong };
  }
  if (end < from.minutes) {
    const late = { from: from.minutes, to: DAY };
    const early = { from: 0, to: end };
    return { wrong: _("it ends before it starts; across midnight it is two lines"), across: [early, late] };
  }
  return { from: from.minutes, to: end };
}
