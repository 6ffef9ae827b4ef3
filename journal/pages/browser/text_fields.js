// Text fields: good things, one to remember, notes.

import { button, card, growingText, labelled, make, problemSpot } from "./elements.js";
import { leavesLine } from "./keyboard.js";
import { N_, _ } from "./texts.js";

const COUNTED = [N_("Good things"), N_("One good thing"), N_("Two good things"), N_("Three good things"), N_("Four good things"), N_("Five good things")];

export const gratitudeHeading = (lines) => _(COUNTED[lines] || COUNTED[0]);

export function textFields(sheet) {
  const { now, offer } = sheet;
  const memory = growingText({
    value: now.memory, rows: 2,
    oninput: () => {
      put(sheet, "memory", memory.value);
      offerToShare();
    },
  });
  const share = make("input", { type: "checkbox", checked: now.share, onchange: () => put(sheet, "share", share.checked) });
  // Without a memory the tick is cleared, otherwise it would apply to the next memory unasked.
  const offerToShare = () => {
    share.disabled = !memory.value.trim();
    if (share.disabled && share.checked) {
      share.checked = false;
      put(sheet, "share", false);
    }
  };
  offerToShare();
  return card(
    gratitudeHeading(offer.gratitude_lines), "words",
    lines(sheet, "gratitude", _("Good thing"), _("One more")),
    labelled(_("One to remember (optional)"), memory, "memory"),
    make("label", { class: "check" }, share, _("A friend may read it, in a year exported for one")),
    problemSpot("share", share),
    make("h3", { text: _("Notes") }),
    lines(sheet, "notes", _("Note"), _("Add a note")),
  );
}

function put(sheet, key, value) {
  sheet.now[key] = value;
  sheet.changed(key);
}

// A list of lines. Enter moves to the next line; on the last line it adds one.
export function lines(sheet, key, name, more) {
  const list = make("div", { class: "lines-typed" });
  const add = (focus) => {
    const place = sheet.now[key].length;
    sheet.now[key].push("");
    const field = line(place);
    list.append(field.parentElement || field);
    if (focus) field.focus();
  };
  const line = (place) => {
    const field = growingText({
      value: sheet.now[key][place], "aria-label": `${name} ${place + 1}`,
      oninput: () => {
        sheet.now[key][place] = field.value;
        sheet.changed(key);
      },
    });
    field.addEventListener("keydown", (event) => {
      if (!leavesLine(event)) return;
      event.preventDefault();
      const next = list.querySelectorAll("textarea")[place + 1];
      if (next) next.focus();
      else if (field.value.trim()) add(true);
    });
    make("div", { class: "line-typed" }, field, problemSpot(`${key}.${place}`, field));
    return field;
  };
  for (const place of sheet.now[key].keys()) list.append(line(place).parentElement);
  return make("div", {}, list, problemSpot(key), button(`+ ${more}`, () => add(true), { class: "quiet" }));
}
