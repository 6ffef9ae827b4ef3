// Texts of a day's page: what is planned now, the plan as a list, and names of what was changed elsewhere.

import { parseTime, formatTime, DAY } from "./times.js";
import { linesOfHours, parseBlocks } from "./hour_lines.js";

export const blocksOf = (hours, offer) => parseBlocks(linesOfHours(hours, offer), offer.categories).sort((a, b) => a.from - b.from);

// "08:30" as the journal's clock shows it, or "" without one.
export function shownTime(text, clock) {
  const read = parseTime(text || "");
  return read.wrong ? "" : formatTime(read.minutes, clock);
}

export const shownRange = ({ start, end }, clock) => (start ? [start, end].filter(Boolean).map((text) => shownTime(text, clock)).join("–") : "all day");

// "It is 14:20: Workshop until 17:00, then Sleep from 22:30." `minute` may lie after midnight.
export function nowText(offer, minute) {
  const time = (at) => formatTime(at % DAY, offer.clock);
  const name = (block) => offer.categories.find((one) => one.key === block.category)?.name ?? block.category;
  if (minute >= DAY) return `It is ${time(minute)}, after the end of this day.`;
  const blocks = blocksOf(offer.planned, offer);
  const now = blocks.find(({ from, to }) => from <= minute && minute < to);
  const next = blocks.find(({ from }) => from > minute && (!now || from >= now.to));
  const until = now && (now.to === DAY ? "until midnight" : `until ${time(now.to)}`);
  const here = now ? `${name(now)} ${until}` : "nothing planned";
  const then = next ? `${now ? ", then" : " until"} ${name(next)} ${now ? "from" : "at"} ${time(next.from)}` : "";
  return `It is ${time(minute)}: ${here}${then}.`;
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
  const general = { tasks: "A task", appointments: "An appointment", habits: "A habit", challenges: "A challenge", notes: "Notes", gratitude: "Good things", hours: "Hours", weather: "Weather", place: "Place" };
  return known[kind] ?? general[kind] ?? "The page";
}

// A value of a conflict as text.
export function conflictValue(value) {
  if (value === null || value === undefined || value === "") return "nothing";
  if (value === true) return "done";
  if (value === false) return "not done";
  if (Array.isArray(value)) return value.map(conflictValue).join("\n") || "nothing";
  if (typeof value !== "object") return String(value);
  if (!("title" in value)) return value.answer ?? value.name ?? "a page with other content";
  return [value.start, value.end, value.title, value.status !== "open" && value.status].filter(Boolean).join(" ");
}
