// Notices about an edit of a day's page that cannot be saved as it is.

import { clashNotice } from "./clash_notice.js";
import { button, make } from "./elements.js";
import { conflictName } from "./day_words.js";
import { _ } from "./texts.js";

// The notice about an edit that changed what was changed elsewhere. `decide` gets the choices to send the edit again with,
// or null if the files' values all stay.
export function conflictNotice(conflicts, { what, offer }, decide) {
  const words = {
    about: _("“{what}” is not saved: the same was changed elsewhere. Choose what stays.", { what }),
    mine: _("Yours"), take: _("Keep mine"), theirs: _("In the file"), keep: _("Take the file's"),
  };
  return clashNotice(conflicts, { words, nameOf: ({ field }) => conflictName(field, offer) }, (picks) => {
    decide(picks.some((pick) => pick.which !== "theirs") ? picks : null);
  });
}

// The notice about a text whose place on the page was changed or taken out elsewhere.
export function homelessNotice(page, path) {
  const text = String(page.typed[path]);
  const element = make(
    "section", { class: "notice homeless", "aria-label": _("Not saved") },
    make("p", { text: _("“{what}” is not saved: what it belonged to was changed elsewhere.", { what: text }) }),
    make("div", { class: "presses" },
      button(_("Make it a note"), () => page.edit({ what: "line", list: "notes", text }, "add", [path])),
      button(_("Let it go"), () => {
        page.forget(path);
        element.remove();
      })),
  );
  return element;
}
