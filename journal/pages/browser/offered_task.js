// A task that can be taken in: a button that is called what it shows, and beside it what is known of the task.

import { button, make, uniqueId } from "./elements.js";
import { _ } from "./texts.js";
import { formatMinutes } from "./times.js";

export function offeredTask({ title, said, estimate }, take) {
  const details = [said, estimate && formatMinutes(Number(estimate))].filter(Boolean).join(" · ");
  const id = uniqueId("offered");
  const press = button("", take, { class: "take", "aria-label": _("Take in {title}", { title }), "aria-describedby": details && id });
  press.append(make("span", { class: "plus", "aria-hidden": "true", text: "+" }), make("span", { class: "name", text: title }));
  return make("li", {}, press, details && make("span", { class: "aside", id, text: details }));
}
