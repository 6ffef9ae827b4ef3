// The notice about fields that were changed both here and elsewhere: both values, and buttons to choose one.

import { both, canKeepBoth, valueText } from "./conflict_text.js";
import { button, make } from "./elements.js";

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
      value("Yours", valueText(conflict, conflict.yours, offer), button("Keep mine", () => done(false), { "aria-label": `${conflict.name}: keep mine` })),
      value("In the file", valueText(conflict, conflict.theirs, offer), button("Take the file's", () => done(true), { "aria-label": `${conflict.name}: take the file's` })),
      canKeepBoth(conflict) && make("div", {}, button("Keep both", () => done(true, both(conflict)), { "aria-label": `${conflict.name}: keep both` })),
    );
    return item;
  });
  list.append(...items);
  return make(
    "section", { class: "notice", tabindex: "-1", "aria-label": "Changed elsewhere meanwhile" },
    make("h2", { text: "Changed elsewhere meanwhile" }),
    make("p", { text: "The files were changed since this page was opened, in the same places as here. Nothing is saved yet: choose what stays, then save." }),
    list,
  );
}

const value = (label, text, choose) => make("div", { class: "side" }, make("span", { class: "aside", text: label }), make("span", { class: "said", text }), choose);
