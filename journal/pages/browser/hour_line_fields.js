// The lines of a strip as fields of text, each with its problem below it.

import { button, make, problemSpot, tell } from "./elements.js";
import { formatLine, overlaps, parseBlocks, parseLine } from "./hour_lines.js";
import { _, inSentence } from "./texts.js";

// `lines()` is the list, which this changes; `changed()` is called after each change.
export function hourLineFields({ name, path, categories, clock, lines, changed }) {
  const list = make("div", { class: "lines-typed hour-lines" });
  const fields = () => list.querySelectorAll("input");

  const remove = (place) => {
    lines().splice(place, 1);
    rebuild();
    changed();
    (fields()[Math.max(place - 1, 0)] || list).focus?.();
  };

  const row = (line, place) => {
    const field = make("input", {
      type: "text", value: line, autocomplete: "off", spellcheck: "false", "aria-label": _("{name}, line {place}", { name, place: place + 1 }),
      placeholder: _("e.g. Sleep 22:30-24:00"),
    });
    field.addEventListener("input", () => {
      lines()[place] = field.value;
      changed();
    });
    field.addEventListener("keydown", (event) => {
      if (event.key !== "Enter") return;
      event.preventDefault();
      const next = fields()[place + 1];
      if (next) next.focus();
      else add();
    });
    const split = button(_("Make it two lines"), () => {
      const { category, across } = parseLine(lines()[place], categories);
      lines().splice(place, 1, ...across.map((block) => formatLine({ category, ...block }, categories, clock)));
      rebuild();
      changed();
      fields()[place].focus();
    }, { class: "quiet split", hidden: true });
    const away = button("×", () => remove(place), { class: "away", "aria-label": _("Take out {name}, line {place}", { name: inSentence(name), place: place + 1 }), title: _("Take out") });
    return make("div", { class: "line-typed" }, make("div", { class: "line-with" }, field, away), problemSpot(`${path}.line.${place}`, field), split);
  };

  const rebuild = () => list.replaceChildren(...lines().map(row));
  const add = () => {
    lines().push("");
    rebuild();
    fields()[lines().length - 1].focus();
  };

  // Shows the lines as they are, each with what is wrong with it.
  const check = () => {
    if (fields().length !== lines().length) rebuild();
    const blocks = parseBlocks(lines(), categories);
    const pairs = overlaps(blocks);
    lines().forEach((line, place) => {
      const { wrong, across } = line.trim() ? parseLine(line, categories) : {};
      const clash = pairs.find(({ one, other }) => one.place === place || other.place === place);
      const element = list.children[place];
      const field = element.querySelector("input");
      if (field.value !== line) field.value = line;
      const other = clash && (clash.one.place === place ? clash.other : clash.one);
      const message = wrong || (clash && _("overlaps {block}; let one end where the other starts", { block: formatLine(other, categories, clock) }));
      tell(element.querySelector(".wrong"), message && message[0].toUpperCase() + message.slice(1));
      element.querySelector(".split").hidden = !across;
    });
  };

  rebuild();
  return { element: [list, button(_("+ Add a line"), add, { class: "quiet" })], check };
}
