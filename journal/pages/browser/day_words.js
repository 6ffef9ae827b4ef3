// Texts of a day's page: what is planned now, the plan as a list, and names of what was changed elsewhere.

import { parseTime, formatTime, DAY } from "./times.js";
import { linesOfHours, parseBlocks } from "./hour_lines.js";
import { _, _p } from "./texts.js";

export const blocksOf = (hours, offer) => parseBlocks(linesOfHours(hours, offer), offer.categories).sort((a, b) => a.from - b.from);

// "08:30" as the journal's clock shows it, or "" without one.
export function shownTime(text, clock) {
  const read = parseTime(text || "");
  return read.wrong ? "" : formatTime(read.minutes, clock);
}

export const shownRange = ({ start, end }, clock) => (start ? [start, end].filter(Boolean).map((text) => shownTime(text, clock)).join("–") : _("all day"));

// "It is 14:20: Workshop until 17:00, then Sleep from 22:30." `minute` may lie after midnight.
export function nowText(offer, minute) {
  const time = (at) => formatTime(at % DAY, offer.clock);
  const name = (block) => offer.categories.find((one) => one.key === block.category)?.name ?? block.category;
  if (minute >= DAY) return _("It is {time}, after the end of this day.", { time: time(minute) });
  const blocks = blocksOf(offer.planned, offer);
  const now = blocks.find(({ from, to }) => from <= minute && minute < to);
  const next = blocks.find(({ from }) => from > minute && (!now || from >= now.to));
  const words = { time: time(minute), now: now && name(now), end: now && time(now.to), next: next && name(next), start: next && time(next.from) };
  if (!now) return next ? _("It is {time}: nothing planned until {next} at {start}.", words) : _("It is {time}: nothing planned.", words);
  if (now.to === DAY) return next ? _("It is {time}: {now} until midnight, then {next} from {start}.", words) : _("It is {time}: {now} until midnight.", words);
  return next ? _("It is {time}: {now} until {end}, then {next} from {start}.", words) : _("It is {time}: {now} until {end}.", words);
}

// The rows of the plan: "Workshop", "09:00–12:30".
export function planRows(hours, offer) {
  return blocksOf(hours, offer).map((block) => ({
    name: offer.categories.find((one) => one.key === block.category)?.name ?? block.category,
    times: `${formatTime(block.from, offer.clock)}–${formatTime(block.to, offer.clock)}`,
  }));
}

// Whether the page should lead to the evening.
export const isClosing = (offer, minute) => !offer.closed && (offer.kind === "past" || (minute !== null && minute >= offer.closes));

// What a field of a conflict is called on the page.
export function conflictName(field, offer) {
  const [kind, key] = field.split(".");
  const of = (list) => list.find((one) => one.ref === key || one.key === key);
  const known = { tasks: of(offer.tasks)?.title, appointments: of(offer.appointments)?.title, habits: of(offer.habits)?.name, challenges: of(offer.challenges)?.name };
  const general = { tasks: _("A task"), appointments: _("An appointment"), habits: _("A habit"), challenges: _("A challenge"), notes: _("Notes"), gratitude: _("Good things"), hours: _("Hours"), weather: _("Weather"), place: _("Place") };
  return known[kind] ?? general[kind] ?? _("The page");
}

const stateName = (status) => ({ done: _p("of a task", "done"), carried: _p("of a task", "carried"), dropped: _p("of a task", "dropped") })[status] ?? "";

// A value of a conflict as text.
export function conflictValue(value) {
  if (value === null || value === undefined || value === "") return _("nothing");
  if (value === true) return _("done");
  if (value === false) return _("not done");
  if (Array.isArray(value)) return value.map(conflictValue).join("\n") || _("nothing");
  if (typeof value !== "object") return String(value);
  if (!("title" in value)) return value.answer ?? value.name ?? _("a page with other content");
  return [value.start, value.end, value.title, stateName(value.status)].filter(Boolean).join(" ");
}
