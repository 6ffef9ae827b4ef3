// What was typed here and changed elsewhere meanwhile: both values, and she chooses.

import { both, canKeepBoth, valueText } from "./conflict_text.js";
import { button, make } from "./elements.js";

export function conflictList(found, offer, settled) {
  const list = make("ul", { class: "differing" });
  const items = found.map((one) => {
    const done = (take, given = one.theirs) => {
      if (take) one.take(given);
      found.splice(found.indexOf(one), 1);
      item.remove();
      settled(found.length, take);
    };
    const item = make(
      "li", {}, make("strong", { text: one.name }),
      value("Yours", valueText(one, one.yours, offer), button("Keep mine", () => done(false), { "aria-label": `${one.name}: keep mine` })),
      value("In the file", valueText(one, one.theirs, offer), button("Take the file's", () => done(true), { "aria-label": `${one.name}: take the file's` })),
      canKeepBoth(one) && make("div", {}, button("Keep both", () => done(true, both(one)), { "aria-label": `${one.name}: keep both` })),
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
