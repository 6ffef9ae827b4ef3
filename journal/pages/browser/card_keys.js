// Going from card to card with the keyboard.

import { cardKey } from "./keyboard.js";

const CONTROLS = "input, textarea, select, button, [tabindex='0']";

// Ctrl+Enter goes to the first control of the next card that has one, and from the last card to `last`. It works in `root`
// and where no other form has the focus. Returns a function that ends it.
export function cardKeys(root, last) {
  const pressed = (event) => {
    const by = cardKey(event);
    if (!by || event.composedPath().some((one) => one !== root && one.classList?.contains("sheet"))) return;
    event.preventDefault();
    event.stopPropagation();
    const cards = [...root.querySelectorAll(".card")].filter(firstControl);
    const focused = root.getRootNode().activeElement;
    const at = focused === last ? cards.length : cards.findIndex((card) => card.contains(focused));
    const to = at < 0 ? 0 : Math.max(at + by, 0);
    (cards[to] ? firstControl(cards[to]) : last).focus();
  };
  window.addEventListener("keydown", pressed, true);
  return () => window.removeEventListener("keydown", pressed, true);
}

// The first control of a card that can have the focus: of a choice, the chosen one.
function firstControl(card) {
  const first = [...card.querySelectorAll(CONTROLS)].find((control) => !control.disabled && control.checkVisibility({ visibilityProperty: true }));
  if (first?.type !== "radio") return first;
  return [...first.getRootNode().querySelectorAll(`input[name="${CSS.escape(first.name)}"]`)].find((radio) => radio.checked) ?? first;
}
