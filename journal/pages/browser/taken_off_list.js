// The list of the tasks taken off tomorrow, with where each goes, until they are saved or put back.

import { button, make, problemSpot } from "./elements.js";
import { isOpen, putOn, takenOff, takeOff, whereTo } from "./taken_off.js";
import { _ } from "./texts.js";

// `moved` is called after each change, with the focus to set: a task on the list of tomorrow, or null.
export function takenOffList(sheet, on, moved) {
  const list = make("ul", { class: "rows" });
  const status = make("p", { class: "hint", role: "status" });
  const element = make("div", { class: "taken-off" }, make("h3", { text: _("Not for {on}", { on }) }), list);
  const typed = new Map(); // what was entered for tasks of tomorrow's page, by their names there

  const put = (task) => {
    putOn(sheet.now, task);
    const source = sheet.now.tasks.find((other) => task.source_ref && other.ref === task.source_ref);
    if (source && task.from !== "undated") sheet.recarried(source);
    status.replaceChildren();
    moved(task);
  };
  const row = (offered) => {
    const task = offered.from ? offered : typed.get(offered.ref) ?? { ...offered, from: "page", estimate: offered.estimate ?? "" };
    const place = sheet.now.setAside.indexOf(offered);
    const back = button(_("Put it back"), () => put(task), { class: "quiet", "aria-label": _("Put it back: {title}", { title: task.title }), "data-back": task.title });
    const forget = place >= 0 && button(_("Delete it"), () => {
      sheet.now.setAside = sheet.now.setAside.filter((other) => other !== task);
      status.textContent = _("{title} is deleted.", { title: task.title });
      moved(null);
    }, { class: "quiet", "aria-label": _("Delete it: {title}", { title: task.title }) });
    const name = make("span", { class: "name" }, make("span", { text: task.title }), make("span", { class: "aside", text: whereTo(sheet.offer, sheet.now, task) }));
    const at = `tomorrow.set_aside.${place}`;
    return make("li", {}, name, make("span", { class: "tools" }, back, forget), place >= 0 && [problemSpot(`${at}.title`, back), problemSpot(`${at}.estimate`, back)]);
  };
  const show = () => {
    const tasks = takenOff(sheet.offer, sheet.now);
    list.replaceChildren(...tasks.map(row));
    element.hidden = !tasks.length;
  };

  // The × of a task of tomorrow: it leaves, and where it goes is said, with the way back.
  const away = (task) => {
    if (task.ref !== null) typed.set(task.ref, task);
    const source = sheet.uncarried(task);
    takeOff(sheet.now, task, source);
    moved(null);
    status.replaceChildren(`${task.title} ${whereTo(sheet.offer, sheet.now, task)}. `);
    const listed = [...list.querySelectorAll("[data-back]")].find((one) => one.dataset.back === task.title);
    const back = listed ?? button(_("Put it back"), () => put(task), { class: "quiet" });
    if (!listed) status.append(back);
    back.focus();
  };
  const cross = (task) => isOpen(task) && button("×", () => away(task), { class: "away", "aria-label": _("{title}, not {on}", { title: task.title, on }), title: _("Not {on}", { on }) });
  show();
  return { element, status, show, cross };
}
