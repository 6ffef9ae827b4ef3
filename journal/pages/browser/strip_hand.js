// The category in hand: a row of buttons, one a category and the eraser, of which none or one is chosen.

import { textureClass } from "./category_paint.js";
import { choice, make } from "./elements.js";
import { handKeys } from "./keyboard.js";
import { ERASER } from "./strip_edit.js";
import { _ } from "./texts.js";

// `took(category)` is called with a category's key, ERASER, or null for none. Returns { element, take(category) }.
export function stripHand({ name, categories, took }) {
  const keys = handKeys(categories.length);
  const options = [
    ...categories.map((category, place) => ({
      value: category.key, name: category.name, key: keys[place], kind: textureClass(place),
      title: _("{name}, key {place}", { name: category.name, place: keys[place] }),
      shown: [make("span", { class: "dot", "aria-hidden": "true" }), make("span", { class: "pen-name", text: category.name })], style: { "--fill": category.colour },
    })),
    { value: ERASER, name: _("Eraser"), key: "0", title: _("Eraser, key 0"), shown: [make("span", { class: "dot eraser", "aria-hidden": "true" }), _("Eraser")] },
  ];
  let now = null;
  const element = choice({
    name: null, label: _("{name}: what to draw", { name }), options, chosen: null, kind: "pens hand",
    choose: (category) => {
      now = category;
      took(category);
    },
  });
  const take = (category) => {
    if (category === now) return;
    element.querySelectorAll("input")[options.findIndex(({ value }) => value === (category ?? now))].click();
  };
  return { element, take };
}
