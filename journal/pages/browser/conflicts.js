// The notice about fields that were changed both here and elsewhere: both values, and buttons to choose one.

import { both, canKeepBoth, valueText } from "./conflict_text.js";
import { button, make } from "./elements.js";
import { _ } from "./texts.js";

export function conflictList(conflicts, offer, settled) {
  const list = make("ul", { class: "differing" });
  const items = conflicts.map((conflict) => {
    const done = (take, given = conflict.theirs) => {
      if (take) conflict.take(given);
      conflicts.splice(conflicts.indexOf(conflict), 1);
      item.remove();
      settled(conflicts.length, take);
    };
    const item = make(
      "li", {}, make("strong", { text: conflict.name }),
      value(_("Yours"), valueText(conflict, conflict.yours, offer), button(_("Keep mine"), () => done(false), { "aria-label": _("{name}: keep mine", { name: conflict.name }) })),
      value(_("In the file"), valueText(conflict, conflict.theirs, offer), button(_("Take the file's"), () => done(true), { "aria-label": _("{name}: take the file's", { name: conflict.name }) })),
      canKeepBoth(conflict) && make("div", {}, button(_("Keep both"), () => done(true, both(conflict)), { "aria-label": _("{name}: keep both", { name: conflict.name }) })),
    );
    return item;
  });
  list.append(...items);
  return make(
    "section", { class: "notice", tabindex: "-1", "aria-label": _("Changed elsewhere meanwhile") },
    make("h2", { text: _("Changed elsewhere meanwhile") }),
    make("p", { text: _("The files were changed since this page was opened, in the same places as here. Nothing is saved yet: choose what stays, then save.") }),
    list,
  );
}

const value = (label, text, choose) => make("div", { class: "side" }, make("span", { class: "aside", text: label }), make("span", { class: "said", text }), choose);
