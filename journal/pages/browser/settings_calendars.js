// What each calendar path shows this week, so that a wrong path is seen at once.

import { debounceRequest } from "./debounce.js";
import { make } from "./elements.js";
import { _ } from "./texts.js";

export function calendarViews(sheet) {
  const list = make("div", { class: "calendar-views", role: "status" });
  const ask = debounceRequest(
    () => sheet.ask("calendars", { paths: sheet.now.singles.calendars }),
    ({ calendars }) => list.replaceChildren(...(calendars ?? []).map(view)),
  );
  sheet.whenChanged("", ["calendars"], ask);
  ask();
  return list;
}

function view({ path, said, appointments, problems }) {
  return make(
    "div", { class: "calendar-view" },
    make("p", {}, make("strong", { text: path || _("In the journal’s folder") }), make("span", { class: "aside", text: ` · ${said}.` })),
    make("ul", {}, appointments.map((text) => make("li", { text }))),
    problems.map((text) => make("p", { class: "wrong", text })),
  );
}
