// Files that cannot be read: named at the top of the page, and where they are missing.

import { make } from "./elements.js";
import { _, _n } from "./texts.js";

// The notice at the top, or null.
export function brokenNotice(offer) {
  const files = offer.broken ?? [];
  if (!files.length) return null;
  const heading = files.length === 1 ? _("{path} cannot be read", { path: files[0].path }) : _n("{count} file cannot be read", "{count} files cannot be read", files.length);
  return make(
    "section", { class: "notice broken", "aria-label": heading, role: "alert" }, make("h2", { text: heading }),
    ...files.flatMap((file) => [make("p", { class: "problem", text: file.problem }), make("p", { text: _("Mend it in an editor; this page follows. {said}", { said: file.said }) })]),
  );
}

// The sentence at a part of the form that a broken file affects, or null. `without` says what is missing there.
export function brokenHint(offer, part, without) {
  const file = (offer.broken ?? []).find((one) => one.part === part);
  return file ? make("p", { class: "wrong", text: _("{path} cannot be read, so {without}.", { path: file.path, without }) }) : null;
}
