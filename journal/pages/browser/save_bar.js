// The bar of a form: the button that saves, the key that does the same, and the answer beside them.

import { alertPlace, button, make, tellAll } from "./elements.js";
import { saveKey, savesPage } from "./keyboard.js";
import { askBeforeLeaving } from "./leaving.js";
import { N_, _, _n } from "./texts.js";

export const SILENT = N_("Not saved: the journal does not answer. What you typed stays in this window. If the command has ended, run it again; then reload this page and save.");

// `dirty` tells whether something is not saved. The key works in the form, and outside of all forms too if something is
// not saved here, or if the form is `alone` on its page. With `cards`, the key that goes to the next card is said too.
export function saveBar({ root, save, dirty, alone = false, cards = false }) {
  const status = make("p", { class: "said", role: "status", "aria-live": "polite" });
  const unplaced = alertPlace();
  const { name, shortcut, next } = saveKey(navigator.platform);
  const press = button("", save, { class: "save", "aria-keyshortcuts": shortcut });
  const key = make("span", { class: "key" }, _("or "), make("kbd", { text: name }));
  const nextKey = make("span", { class: "key" }, make("kbd", { text: next }), _(" next card"));
  nextKey.hidden = !cards;
  const element = make("div", { class: "bar" }, make("span", { class: "saving" }, press, key), make("div", { class: "answer" }, status, unplaced), nextKey);

  // `link` is a way on from what was said.
  const say = (text, list = [], link = null) => {
    status.replaceChildren(text, ...(link ? [" ", link] : []));
    tellAll(unplaced, list);
  };
  const pressed = (event) => {
    if (!savesPage(event)) return;
    const path = event.composedPath();
    const elsewhere = path.some((one) => one !== root && one.classList?.contains("sheet"));
    if (!path.includes(root) && (elsewhere || !(alone || dirty()))) return;
    event.preventDefault();
    save();
  };
  const stopAsking = askBeforeLeaving(() => dirty());
  window.addEventListener("keydown", pressed);
  return {
    element,
    press,
    say,
    // Puts a control beside the answer.
    beside: (control) => nextKey.before(control),
    // Whether there is more than one card to go to.
    hasCards(several) {
      nextKey.hidden = !several;
    },
    // Says that fields need correction, and focuses the first. `rest` are messages without a field.
    refused({ count, first }, rest = []) {
      first?.focus();
      say(_n("Not saved: one place needs mending. Everything you typed stays here.", "Not saved: {count} places need mending. Everything you typed stays here.", count), rest);
    },
    close() {
      window.removeEventListener("keydown", pressed);
      stopAsking();
    },
  };
}
