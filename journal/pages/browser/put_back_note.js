// The note below a list that says what was taken out of it, with the way back.

import { button, make } from "./elements.js";
import { _ } from "./texts.js";

export function putBackNote() {
  const element = make("p", { class: "hint", role: "status" });
  const tell = (text, restore) => {
    const back = button(_("Put it back"), () => {
      element.replaceChildren();
      restore();
    }, { class: "quiet" });
    element.replaceChildren(`${text} `, back);
    back.focus();
  };
  return { element, tell, clear: () => element.replaceChildren() };
}
