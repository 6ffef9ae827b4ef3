// The editor of a day's hours: the strip, and the same hours as lines of text, e.g. "Sleep 22:30-24:00".

import { button, uniqueId, make, problemSpot, tell } from "./elements.js";
import { hoursStrip } from "./hours_strip.js";
import { formatLine, overlaps, parseBlocks, parseLine } from "./hour_lines.js";
import { formatMinutes } from "./times.js";

// `key` is "actual" or "planned" in the state, `path` the path of its problems, `view` returns other things to draw.
export function hoursEditor(sheet, { key, path, name, open, view = () => ({}), changed = () => {}, extra = null }) {
  const { categories, clock } = sheet.offer;
  const lines = () => sheet.now[key];
  let pen = (categories.find((one) => !one.sleep) || categories[0])?.key;
  const list = make("div", { class: "lines-typed hour-lines" });
  const total = make("p", { class: "hint", role: "status" });
  const general = problemSpot(path);

  const strip = hoursStrip({
    name, categories, clock,
    view: () => ({ blocks: parseBlocks(lines(), categories), ...view() }),
    edit: {
      move: (place, from, to) => {
        const { category } = parseLine(lines()[place], categories);
        lines()[place] = formatLine({ category, from, to }, categories, clock);
        update();
      },
      add: (from, to) => {
        lines().push(formatLine({ category: pen, from, to }, categories, clock));
        rebuild();
        update();
      },
      remove: (place) => {
        remove(place);
      },
    },
  });

  const remove = (place) => {
    lines().splice(place, 1);
    rebuild();
    update();
    (list.querySelectorAll("input")[Math.max(place - 1, 0)] || list).focus?.();
  };

  const check = () => {
    const blocks = parseBlocks(lines(), categories);
    const pairs = overlaps(blocks);
    lines().forEach((line, place) => {
      const { wrong, across } = line.trim() ? parseLine(line, categories) : {};
      const clash = pairs.find(({ one, other }) => one.place === place || other.place === place);
      const row = list.children[place];
      if (!row) return;
      const other = clash && (clash.one.place === place ? clash.other : clash.one);
      const message = wrong || (clash && `overlaps ${formatLine(other, categories, clock)}; let one end where the other starts`);
      tell(row.querySelector(".wrong"), message && message[0].toUpperCase() + message.slice(1));
      row.querySelector(".split").hidden = !across;
    });
    const unread = lines().filter((line) => line.trim() && parseLine(line, categories).wrong).length;
    const spent = blocks.reduce((sum, block) => sum + block.to - block.from, 0);
    total.textContent = `${formatMinutes(spent)} of 24 h filled in${unread ? `, ${unread} not read yet` : ""}.`;
  };

  const update = () => {
    list.querySelectorAll("input").forEach((field, place) => {
      if (lines()[place] !== undefined && field.value !== lines()[place]) field.value = lines()[place];
    });
    check();
    strip.draw();
    changed();
    sheet.changed(key);
  };

  const row = (line, place) => {
    const field = make("input", {
      type: "text", value: line, autocomplete: "off", spellcheck: "false", "aria-label": `${name}, line ${place + 1}`,
      placeholder: "e.g. Sleep 22:30-24:00",
    });
    field.addEventListener("input", () => {
      lines()[place] = field.value;
      update();
    });
    field.addEventListener("keydown", (event) => {
      if (event.key !== "Enter") return;
      event.preventDefault();
      const next = list.querySelectorAll("input")[place + 1];
      if (next) next.focus();
      else add();
    });
    const split = button("Make it two lines", () => {
      const { category, across } = parseLine(lines()[place], categories);
      lines().splice(place, 1, ...across.map((block) => formatLine({ category, ...block }, categories, clock)));
      rebuild();
      update();
      list.querySelectorAll("input")[place].focus();
    }, { class: "quiet split", hidden: true });
    const away = button("×", () => remove(place), { class: "away", "aria-label": `Take out ${name.toLowerCase()}, line ${place + 1}`, title: "Take out" });
    return make("div", { class: "line-typed" }, make("div", { class: "line-with" }, field, away), problemSpot(`${path}.line.${place}`, field), split);
  };

  const rebuild = () => list.replaceChildren(...lines().map(row));
  const add = () => {
    lines().push("");
    rebuild();
    list.querySelectorAll("input")[lines().length - 1].focus();
  };

  const chips = make("div", { class: "pens", role: "radiogroup", "aria-label": `${name}: what a new block is` }, categories.map((category) => {
    const id = uniqueId("pen");
    const radio = make("input", { type: "radio", id, name: `${key}-pen`, checked: category.key === pen, onchange: () => { pen = category.key; } });
    const label = make("label", { for: id }, make("span", { class: "dot", "aria-hidden": "true" }), category.name);
    label.style.setProperty("--fill", category.colour);
    return make("span", { class: "option" }, radio, label);
  }));

  rebuild();
  check();
  const written = make(
    "details", { open }, make("summary", { text: "Write the times" }), list,
    button("+ Add a line", add, { class: "quiet" }),
  );
  const hint = make("p", {
    class: "hint",
    text: "Drag a block or its edge, or draw a new one. On a block: arrow keys move it by a quarter of an hour, with Shift by an hour, with Alt by five minutes; Enter goes to its ends; Delete takes it out.",
  });
  return {
    element: make("div", { class: "hours", "data-field": path }, strip.element, make("div", { class: "strip-foot" }, chips, total), extra, general, written, make("details", { class: "how" }, make("summary", { text: "How to change the strip" }), hint)),
    draw: () => {
      check();
      strip.draw();
    },
  };
}

