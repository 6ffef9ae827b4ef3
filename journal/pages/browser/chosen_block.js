// The chosen block of the strip: its exact times, its category, and Delete.

import { nameOf, textureClass } from "./category_paint.js";
import { button, choice, make, problemSpot, tell, uniqueId } from "./elements.js";
import { formatRange, formatTime, parseRange } from "./times.js";
import { _ } from "./texts.js";

// `edit(edit)` applies an edit of strip_edit.js to the block shown; `close()` ends the choice. Returns { element, show, settle }.
export function chosenBlock({ path, categories, clock, edit, close }) {
  let block = null;
  const title = make("strong", { "aria-hidden": "true" });
  const [start, end] = ["start", "end"].map(() => make("input", { type: "text", id: uniqueId("time"), class: "time", autocomplete: "off" }));
  const problem = problemSpot(`${path}.chosen`, start, end);
  const options = categories.map((category, place) => ({
    value: category.key, name: category.name, kind: textureClass(place), shown: [make("span", { class: "dot", "aria-hidden": "true" }), category.name], style: { "--fill": category.colour },
  }));
  const kinds = choice({
    name: null, label: _("What the chosen block is"), options, chosen: null, kind: "pens", must: true,
    choose: (category) => {
      if (category !== block.category) edit({ kind: "recolour", span: block, category });
    },
  });
  const element = make(
    "div", { class: "chosen-block", role: "group", hidden: true },
    make("div", { class: "chosen-times" }, title, make("label", { for: start.id, text: _("from") }), start, make("label", { for: end.id, text: _("to") }), end),
    problem, kinds,
    make("div", { class: "presses" }, button(_("Delete"), () => edit({ kind: "remove", span: block })), button(_("Done"), () => close(), { class: "quiet" })),
  );

  // Takes over times that were typed. Times that are none stay in their fields with a message.
  const settle = () => {
    if (!block) return null;
    const typed = [start.value.trim(), end.value.trim()];
    if (typed[0] === formatTime(block.from, clock) && typed[1] === formatTime(block.to, clock)) return tell(problem, "");
    const { wrong, across, from, to } = parseRange(typed.join("-"));
    const message = across ? _("it ends before it starts; give the part after midnight to the next day") : wrong;
    if (message) return tell(problem, message[0].toUpperCase() + message.slice(1));
    tell(problem, "");
    return edit({ kind: "put", span: block, from, to });
  };
  for (const field of [start, end]) {
    field.addEventListener("change", settle);
    field.addEventListener("keydown", (event) => {
      if (event.key !== "Enter") return;
      event.preventDefault();
      settle();
    });
  }
  element.addEventListener("keydown", (event) => {
    if (event.key !== "Escape") return;
    event.stopPropagation();
    close();
  });

  // Shows the chosen block, or nothing for null. The fields stay the same elements, so that the focus stays.
  const show = (chosen) => {
    const before = block;
    block = chosen;
    element.hidden = !block;
    if (!block) return tell(problem, "");
    title.textContent = nameOf(categories, block.category);
    element.setAttribute("aria-label", _("Chosen: {title}, {times}", { title: title.textContent, times: formatRange(block, clock) }));
    kinds.querySelectorAll("input").forEach((radio, place) => {
      radio.checked = categories[place].key === block.category;
    });
    if (before?.from === block.from && before?.to === block.to) return null;
    start.value = formatTime(block.from, clock);
    end.value = formatTime(block.to, clock);
    return tell(problem, "");
  };
  return { element, show, settle };
}
