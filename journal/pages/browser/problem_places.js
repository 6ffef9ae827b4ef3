import { parseBlocks } from "./hour_lines.js";

// Where on the page a problem belongs: the hours by their line, lines of words by the ones that are not empty.
export function placeOf(field, now, categories) {
  const parts = field.split(".");
  const strips = [["actual", now.actual, 1], ["tomorrow.planned", now.planned, 2]];
  for (const [path, lines, at] of strips) {
    if (!field.startsWith(`${path}.`) || parts.length < at + 2) continue;
    const block = parseBlocks(lines, categories).filter((one) => one.category === parts[at])[Number(parts[at + 1])];
    return block ? `${path}.line.${block.place}` : path;
  }
  for (const key of ["gratitude", "notes"]) {
    if (parts[0] !== key || parts.length < 2) continue;
    const filled = [...now[key].keys()].filter((place) => now[key][place].trim() !== "");
    return `${key}.${filled[Number(parts[1])]}`;
  }
  return field;
}
