// The chosen block of the strip: its exact times, its category, and Delete.

import { button, choice, make, problemSpot, tell, uniqueId } from "./elements.js";
import { nameOf } from "./strip_blocks.js";
import { formatRange, formatTime, parseRange } from "./times.js";

// `edit(edit)` applies an edit of strip_edit.js to the block shown; `close()` ends the choice.
export function chosenBlock({ path, categories, clock, edit, close }) {
  const element = make("div", { class: "chosen-block", role: "group", hidden: true });
  let block = null;
  let fields = [];
  let problem = null;

  const timeField = (part, label) => {
    const id = uniqueId("time");
    const field = make("input", { type: "text", id, class: "time", autocomplete: "off", value: formatTime(part === "start" ? block.from : block.to, clock), "data-part": part });
    field.addEventListener("change", settle);
    field.addEventListener("keydown", (event) => {
      if (event.key !== "Enter") return;
      event.preventDefault();
      settle();
    });
    return [make("label", { for: id, text: label }), field];
  };

  // Applies times that were typed. Times that are none stay in their fields with a message.
  const settle = () => {
    if (!block) return;
    const [start, end] = fields.map((field) => field.value.trim());
    if (start === formatTime(block.from, clock) && end === formatTime(block.to, clock)) return tell(problem, "");
    const { wrong, across, from, to } = parseRange(`${start}-${end}`);
    const message = across ? "it ends before it starts; give the part after midnight to the next day" : wrong;
    if (message) return tell(problem, message[0].toUpperCase() + message.slice(1));
    return edit({ kind: "put", span: block, from, to });
  };

  const show = (chosen) => {
    const isSame = block && chosen && ["category", "from", "to", "place"].every((key) => block[key] === chosen[key]);
    if (isSame) return;
    const focused = element.getRootNode().activeElement;
    const again = focused && element.contains(focused) ? focused.dataset.part || "category" : null;
    block = chosen;
    element.hidden = !block;
    element.replaceChildren();
    if (!block) return;
    const title = nameOf(categories, block.category);
    const [from, to] = [timeField("start", "from"), timeField("end", "to")];
    fields = [from[1], to[1]];
    problem = problemSpot(`${path}.chosen`, ...fields);
    const options = categories.map((category) => ({
      value: category.key, name: category.name, shown: [make("span", { class: "dot", "aria-hidden": "true" }), category.name], style: { "--fill": category.colour },
    }));
    element.setAttribute("aria-label", `Chosen: ${title}, ${formatRange(block, clock)}`);
    element.append(
      make("div", { class: "chosen-times" }, make("strong", { text: title, "aria-hidden": "true" }), from, to),
      choice({ name: null, label: "What the chosen block is", options, chosen: block.category, kind: "pens", must: true, choose: (category) => {
        if (category !== block.category) edit({ kind: "recolour", span: block, category });
      } }),
      make("div", { class: "presses" }, button("Delete", () => edit({ kind: "remove", span: block })), button("Done", close, { class: "quiet" })),
      problem,
    );
    if (again) (element.querySelector(`[data-part="${again}"]`) || element.querySelector("input:checked"))?.focus();
  };

  element.addEventListener("keydown", (event) => {
    if (event.key !== "Escape") return;
    event.stopPropagation();
    close();
  });
  return { element, show, settle };
}
