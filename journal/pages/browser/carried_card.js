// The tasks that go to today when a day is closed late and no plan is asked for.

import { brokenHint } from "./broken_files.js";
import { button, card, make } from "./elements.js";

export function carriedCard(sheet) {
  const list = make("ul", { class: "rows tasks" });
  const empty = make("p", { class: "empty", text: "None yet." });
  const going = () => sheet.now.next.filter((task) => task.source_ref || task.ref === null);
  const show = () => {
    list.replaceChildren(...going().map(row));
    empty.hidden = going().length > 0;
  };
  const row = (task) => make(
    "li", { class: "task" }, make("span", { class: "name", text: task.title }),
    button("×", () => {
      sheet.now.next = sheet.now.next.filter((other) => other !== task);
      sheet.uncarried(task);
      show();
      sheet.changed("tomorrow.tasks");
    }, { class: "away", "aria-label": `${task.title}, not today`, title: "Not today" }),
  );
  sheet.onNext = show;
  show();
  return card("Carried to today", "next", brokenHint(sheet.offer, "tomorrow", "no task can go there"), list, empty);
}
