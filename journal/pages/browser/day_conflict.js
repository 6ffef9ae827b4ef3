// The notice about an edit that changed what was changed elsewhere: both values, and buttons to choose one.

import { button, make } from "./elements.js";
import { conflictName, conflictValue } from "./day_words.js";

// `decide` gets the choices to send the edit again with, or null if the files' values all stay.
export function conflictNotice(conflicts, { what, offer }, decide) {
  const picks = [];
  const choose = (conflict, which, item) => {
    picks.push({ field: conflict.field, file: conflict.file, theirs: conflict.theirs, which });
    item.remove();
    if (picks.length < conflicts.length) return;
    decide(picks.some((pick) => pick.which !== "theirs") ? picks : null);
  };
  const side = (label, value, press) => make("div", { class: "side" }, make("span", { class: "aside", text: label }), make("span", { class: "said", text: conflictValue(value) }), press);
  const items = conflicts.map((conflict) => {
    const name = conflictName(conflict.field, offer);
    const item = make(
      "li", {}, make("strong", { text: name }),
      side("Yours", conflict.yours, button("Keep mine", () => choose(conflict, "mine", item), { "aria-label": `${name}: keep mine` })),
      side("In the file", conflict.theirs, button("Take the file's", () => choose(conflict, "theirs", item), { "aria-label": `${name}: take the file's` })),
    );
    return item;
  });
  return make(
    "section", { class: "notice", tabindex: "-1", "aria-label": "Changed elsewhere meanwhile" },
    make("h2", { text: "Changed elsewhere meanwhile" }),
    make("p", { text: `“${what}” is not saved: the same was changed elsewhere. Choose what stays.` }),
    make("ul", { class: "differing" }, items),
  );
}

// The notice about a text whose place on the page was changed or taken out elsewhere.
export function homelessNotice(page, path) {
  const text = String(page.typed[path]);
  const element = make(
    "section", { class: "notice homeless", "aria-label": "Not saved" },
    make("p", { text: `“${text}” is not saved: what it belonged to was changed elsewhere.` }),
    make("div", { class: "presses" },
      button("Make it a note", () => page.edit({ what: "line", list: "notes", text }, "add", [path])),
      button("Let it go", () => {
        page.forget(path);
        element.remove();
      })),
  );
  return element;
}
