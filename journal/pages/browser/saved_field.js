// A field whose text is saved when it is left, or with Enter. Until then the text is kept, also through a redraw.

import { leavesLine } from "./keyboard.js";

// `path` names the text among those not saved yet; `saved` is what the file has; `send(text)` saves another text.
export function savesItself(page, field, { path, saved, send }) {
  field.dataset.typed = path;
  field.value = page.typed[path] ?? saved;
  const commit = () => {
    if (page.drawing || !(path in page.typed) || page.sent[path] === field.value) return;
    page.sent[path] = field.value;
    send(field.value);
  };
  field.addEventListener("input", () => {
    if (field.value === saved) page.forget(path);
    else page.keep(path, field.value);
  });
  field.addEventListener("blur", commit);
  field.addEventListener("keydown", (event) => {
    if (event.key === "Escape" && path in page.typed) {
      event.preventDefault();
      field.value = saved;
      page.forget(path);
    } else if (leavesLine(event)) {
      event.preventDefault();
      commit();
    }
  });
  return field;
}
