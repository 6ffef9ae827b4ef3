// The tasks that go to today when a day is closed late and no plan is asked for.

import { brokenHint } from "./broken_files.js";
import { card, make } from "./elements.js";
import { takenOffList } from "./taken_off_list.js";
import { _ } from "./texts.js";

export function carriedCard(sheet) {
  const list = make("ul", { class: "rows tasks" });
  const empty = make("p", { class: "empty", text: _("None yet.") });
  const going = () => sheet.now.next.filter((task) => task.source_ref || task.ref === null);
  const off = takenOffList(sheet, "today", () => {
    show();
    sheet.changed("tomorrow.tasks");
  });
  const show = () => {
    list.replaceChildren(...going().map(row));
    empty.hidden = going().length > 0;
    off.show();
  };
  const row = (task) => make("li", { class: "task" }, make("span", { class: "name", text: task.title }), off.cross(task));
  sheet.onNext = show;
  show();
  return card(_("Carried to today"), "next", brokenHint(sheet.offer, "tomorrow", _("no task can go there")), list, empty, off.element, off.status);
}
