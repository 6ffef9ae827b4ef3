// The usual strip of a day, and that of each weekday that differs.

import { button, make } from "./elements.js";
import { hoursEditor } from "./hours_editor.js";
import { renamedLines, settledCategories, stripCategories, weekdayOfKey } from "./settings_state.js";
import { _, _p } from "./texts.js";

// The strips, drawn anew when categories change.
export function usualStrips(sheet) {
  const { offer, now } = sheet;
  const box = make("div", { class: "strips" });
  let categories = stripCategories(offer, now);
  const draw = (focus) => {
    box.replaceChildren(...drawn(sheet, categories, draw));
    if (focus) box.querySelector(focus)?.focus();
  };
  const follow = () => {
    const next = settledCategories(offer, now, categories);
    for (const [day, lines] of Object.entries(now.strips)) now.strips[day] = lines && renamedLines(lines, categories, next, offer.clock);
    categories = next;
    draw();
  };
  for (const row of ["", ...now.lists.categories.map(({ uid }) => uid)]) sheet.whenChanged(["categories", row].filter(Boolean).join("."), ["name", "colour", ""], follow);
  draw();
  return box;
}

function drawn(sheet, categories, redraw) {
  const { offer, now } = sheet;
  if (!categories.length) return [make("p", { class: "empty", text: _("Add a category first.") })];
  const editor = (day, name) => {
    const made = hoursEditor(
      { offer: { categories, clock: offer.clock }, now: now.strips, changed: () => sheet.changed(`hours.${day}`) },
      { key: day, path: `hours.${day}`, name, open: false },
    );
    sheet.editors.set(day, made);
    return made.element;
  };
  const weekdays = Object.keys(now.strips).filter((day) => day !== "usual").map((day) => {
    const name = weekdayOfKey(day);
    const own = now.strips[day];
    const make_own = button(_("Give {day} its own hours", { day: name }), () => {
      now.strips[day] = [...now.strips.usual];
      sheet.opened.add(`hours.${day}`);
      sheet.changed(`hours.${day}`);
      redraw(`[data-row="${day}"] summary`);
    }, { class: "quiet" });
    const as_usual = button(_("Let {day} be as the usual day", { day: name }), () => {
      now.strips[day] = null;
      sheet.changed(`hours.${day}`);
      redraw(`[data-row="${day}"] summary`);
    }, { class: "quiet" });
    const details = make(
      "details", { class: "row", "data-row": day, open: sheet.opened.has(`hours.${day}`) },
      make("summary", {}, make("span", { class: "name", text: name }), make("span", { class: "aside", text: own ? _("has its own hours") : _("as the usual day") })),
      make("div", { class: "row-body" }, own ? editor(day, _p("a weekday", "Hours of {day}", { day: name })) : "", own ? as_usual : make_own),
    );
    details.addEventListener("toggle", () => (details.open ? sheet.opened.add(`hours.${day}`) : sheet.opened.delete(`hours.${day}`)));
    return make("li", {}, details);
  });
  return [
    make("h3", { text: _("The usual day") }),
    make("p", { class: "hint", text: _("A new day starts from these hours.") }), editor("usual", _("Hours of the usual day")),
    make("h3", { text: _("Weekdays that differ") }), make("ul", { class: "rows-set" }, weekdays),
  ];
}
