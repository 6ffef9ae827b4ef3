// The notice about values that were changed elsewhere too: both of each, and buttons to choose one.

import { button, make } from "./elements.js";
import { conflictValue } from "./day_words.js";
import { _, language } from "./texts.js";

// `words` has the text `about` it, the names `mine` and `theirs` of the two values, and the buttons `take` and `keep`.
// `decide` gets the choice about each conflict, to be sent along, once all are made.
export function clashNotice(conflicts, { words, nameOf }, decide) {
  const picks = [];
  const choose = ({ field, file, theirs }, which, item) => {
    picks.push({ field, file, theirs, which });
    item.remove();
    if (picks.length === conflicts.length) decide(picks);
  };
  const side = (label, value, press) => make("div", { class: "side" }, make("span", { class: "aside", text: label }), make("span", { class: "said", text: conflictValue(value) }), press);
  const items = conflicts.map((conflict) => {
    const name = nameOf(conflict);
    const press = (text, which) => button(text, () => choose(conflict, which, item), { "aria-label": `${name}: ${language().nounsCapital ? text : text[0].toLowerCase() + text.slice(1)}` });
    const item = make(
      "li", {}, make("strong", { text: name }),
      side(words.mine, conflict.yours, press(words.take, "mine")),
      side(words.theirs, conflict.theirs, press(words.keep, "theirs")),
    );
    return item;
  });
  return make(
    "section", { class: "notice", tabindex: "-1", "aria-label": _("Changed elsewhere meanwhile") },
    make("h2", { text: _("Changed elsewhere meanwhile") }), make("p", { text: words.about }), make("ul", { class: "differing" }, items),
  );
}
