// Conversion of a day's hours between lines of text, e.g. "Sleep 22:30-24:00", and blocks of the strip.

import { DAY, formatFileRange, formatRange, parseRange } from "./times.js";
import { _ } from "./texts.js";

// "Sleep 22:30-24:00" -> { category, from, to }, or { wrong } with an error message.
export function parseLine(text, categories) {
  const typed = text.trim();
  const cut = typed.search(/\d/);
  const name = (cut < 0 ? typed : typed.slice(0, cut)).trim().replace(/[:,]$/, "").toLowerCase();
  // The longest matching name or key wins. Of two of the same length a name goes before a key: the sort is stable.
  const names = ["name", "key"].flatMap((part) => categories.map((category) => ({ category, known: category[part].toLowerCase() })));
  names.sort((a, b) => b.known.length - a.known.length);
  // A name may contain digits, so known names are tried before splitting at the first digit.
  const match = names.find(({ known }) => typed.toLowerCase().startsWith(`${known} `)) || names.find(({ known }) => known === name);
  if (!match) {
    const known = categories.map((c) => c.name).join(", ");
    return { wrong: name ? _("there is no category \"{name}\"; write one of {known}", { name, known }) : _("which category? write one of {known} first", { known }) };
  }
  return { category: match.category.key, ...parseRange(typed.slice(match.known.length).replace(/^[:,\s]+/, "")) };
}

export function formatLine(block, categories, clock) {
  const category = categories.find((c) => c.key === block.category);
  return `${category ? category.name : block.category} ${formatRange(block, clock)}`;
}

// The lines for blocks after an edit, in the order of the day. A block at its old times keeps its line as typed. Lines that
// are not read stay, below the others; empty ones go.
export function linesOfBlocks(blocks, lines, categories, clock) {
  const unread = lines.filter((line) => line.trim() && parseLine(line, categories).wrong);
  return [...blocks.map((block) => {
    const line = lines[block.place];
    const read = line ? parseLine(line, categories) : {};
    const isKept = read.category === block.category && read.from === block.from && read.to === block.to;
    return isKept ? line : formatLine(block, categories, clock);
  }), ...unread];
}

// Pairs of overlapping blocks, as { one, other, from, to }.
export function overlaps(blocks) {
  const pairs = [];
  blocks.forEach((one, place) => {
    for (const other of blocks.slice(place + 1)) {
      const from = Math.max(one.from, other.from);
      const to = Math.min(one.to, other.to);
      if (from < to) pairs.push({ one, other, from, to });
    }
  });
  return pairs;
}

// The night between two days: from the block of sleep that ends at midnight to the one that starts there.
export function night(evening, morning, sleep) {
  const bed = evening.find((block) => block.category === sleep && block.to === DAY);
  const rise = morning.find((block) => block.category === sleep && block.from === 0);
  return bed && rise ? { bed: bed.from, rise: rise.to, minutes: DAY - bed.from + rise.to } : null;
}

// Converts hours in the format of the files to lines, sorted by time.
export function linesOfHours(hours, offer) {
  const blocks = Object.entries(hours).flatMap(([category, ranges]) => ranges.map((range) => ({ category, range, ...parseRange(range) })));
  return blocks
    .sort((a, b) => (a.from ?? 0) - (b.from ?? 0))
    .map((block) => (block.wrong ? `${block.category} ${block.range}` : formatLine(block, offer.categories, offer.clock)));
}

// Converts lines to blocks. Invalid lines are skipped; `place` is the index of a block's line.
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
