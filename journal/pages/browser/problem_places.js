import { parseBlocks } from "./hour_lines.js";

// Maps the field of a problem to its place on the page: a range of hours to its line, an index of a text list to its line,
// since the sent lists omit empty lines.
export function placeOf(field, now, categories) {
  const parts = field.split(".");
  const strips = [["actual", now.actual, 1], ["tomorrow.planned", now.planned, 2]];
  for (const [path, lines, at] of strips) {
    if (!field.startsWith(`${path}.`) || parts.length < at + 2) continue;
    const block = parseBlocks(lines, categories).filter((candidate) => candidate.category === parts[at])[Number(parts[at + 1])];
    return block ? `${path}.line.${block.place}` : path;
  }
  for (const key of ["gratitude", "notes"]) {
    if (parts[0] !== key || parts.length < 2) continue;
    const filled = [...now[key].keys()].filter((place) => now[key][place].trim() !== "");
    return `${key}.${filled[Number(parts[1])]}`;
  }
  return field;
}
