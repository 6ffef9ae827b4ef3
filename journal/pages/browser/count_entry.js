// The field for a counted habit on a day of the month: a number, rest, or nothing. On a phone it opens the number keys.

import { number } from "./day_fields.js";
import { button, make, problemSpot, tell } from "./elements.js";
import { _, numberText } from "./texts.js";

// `put` sets a mark, `left` is called with the number of days to go on: 1 after Enter, 0 after Escape.
export function countEntry({ put, left }) {
  const name = make("label", { class: "count-name" });
  const field = make("input", { type: "text", inputmode: "decimal", autocomplete: "off", class: "amount", id: "count-entry" });
  const unit = make("span", { class: "unit" });
  const wrong = problemSpot("count", field);
  name.setAttribute("for", field.id);
  const set = (mark) => {
    tell(wrong, "");
    field.value = typeof mark === "number" ? numberText(mark) : "";
    put(mark);
  };
  const rest = button(_("rest"), () => set("rest"));
  field.addEventListener("input", () => {
    const typed = number(field.value);
    const isNumber = typed === null || (typeof typed === "number" && typed >= 0);
    tell(wrong, isNumber ? "" : _("Expected a number, 0 or more, got \"{typed}\"; write e.g. 20.", { typed: field.value.trim() }));
    if (isNumber) put(typed);
  });
  field.addEventListener("keydown", (event) => {
    if (!["Enter", "Escape"].includes(event.key) || event.ctrlKey || event.metaKey) return;
    event.preventDefault();
    left(event.key === "Enter" ? 1 : 0);
  });
  const element = make(
    "div", { class: "count-entry", role: "group", "aria-label": _("A count"), hidden: true },
    name, field, unit, rest, button(_("nothing"), () => set(null)), wrong,
  );
  return {
    element,
    open(title, habit, mark) {
      name.textContent = title;
      unit.textContent = habit.unit || "";
      rest.hidden = habit.kind === "scale";
      field.value = typeof mark === "number" ? numberText(mark) : "";
      tell(wrong, "");
      element.hidden = false;
      field.focus();
      field.select();
      element.scrollIntoView({ block: "nearest" });
    },
    close() {
      element.hidden = true;
    },
  };
}
