// Hours of a day as lines of text, e.g. "Sleep 22:30-24:00", and as the blocks of the strip.

import { DAY, formatFileRange, formatRange, parseRange } from "./times.js";

// "Sleep 22:30-24:00" -> { category, from, to }, or { wrong } with what to write instead.
export function parseLine(text, categories) {
  const typed = text.trim();
  const cut = typed.search(/\d/);
  const name = (cut < 0 ? typed : typed.slice(0, cut)).trim().replace(/[:,]$/, "").toLowerCase();
  const byLength = [...categories].sort((a, b) => b.name.length - a.name.length);
  // A name may hold digits, so names are tried before the first digit ends the search for one.
  const category =
    byLength.find((c) => [c.name, c.key].some((known) => typed.toLowerCase().startsWith(`${known.toLowerCase()} `))) ||
    byLength.find((c) => [c.name, c.key].some((known) => known.toLowerCase() === name));
  if (!category) {
    const known = categories.map((c) => c.name).join(", ");
    return { wrong: name ? `there is no category "${name}"; write one of ${known}` : `which category? write one of ${known} first` };
  }
  const used = [category.name, category.key].find((known) => typed.toLowerCase().startsWith(known.toLowerCase()));
  return { category: category.key, ...parseRange(typed.slice(used.length).replace(/^[:,\s]+/, "")) };
}

export function formatLine(block, categories, clock) {
  const category = categories.find((c) => c.key === block.category);
  return `${category ? category.name : block.category} ${formatRange(block, clock)}`;
}

// Pairs of blocks that lie over each other, as [one, other, from, to].
export function overlaps(blocks) {
  const found = [];
  blocks.forEach((one, place) => {
    for (const other of blocks.slice(place + 1)) {
      const from = Math.max(one.from, other.from);
      const to = Math.min(one.to, other.to);
      if (from < to) found.push({ one, other, from, to });
    }
  });
  return found;
}

// The night between two days: from the last sleep that reaches midnight to the first that leaves it.
export function night(evening, morning, sleep) {
  const bed = evening.find((block) => block.category === sleep && block.to === DAY);
  const rise = morning.find((block) => block.category === sleep && block.from === 0);
  return bed && rise ? { bed: bed.from, rise: rise.to, minutes: DAY - bed.from + rise.to } : null;
}

// Hours as the files have them, as lines in the order of the day.
export function linesOfHours(hours, offer) {
  const blocks = Object.entries(hours).flatMap(([category, ranges]) => ranges.map((range) => ({ category, range, ...parseRange(range) })));
  return blocks
    .sort((a, b) => (a.from ?? 0) - (b.from ?? 0))
    .map((block) => (block.wrong ? `${block.category} ${block.range}` : formatLine(block, offer.categories, offer.clock)));
}

// Lines of a strip as blocks; a line that cannot be read is none, `place` says which line a block came from.
export function parseBlocks(lines, categories) {
  return lines.flatMap((line, place) => {
    const read = line.trim() ? parseLine(line, categories) : { wrong: "empty" };
    return read.wrong ? [] : [{ ...read, place }];
  });
}

export function hoursOfLines(lines, categories) {
  const hours = {};
  for (const block of parseBlocks(lines, categories)) (hours[block.category] ||= []).push(formatFileRange(block));
  return hours;
}
