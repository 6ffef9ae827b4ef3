// How a category looks on a strip: its colour, and what tells it apart where colours do not. That is a texture with the
// reader's own colours (forms.css), and the beginning of its name on a block that is too narrow for all of it.

import { textColour } from "./text_colour.js";

const UNKNOWN = "#7C8196"; // the colour of a category that journal.toml does not have
const TEXTURES = 12; // as many as forms.css has; a thirteenth category has that of the first

export function nameOf(categories, key) {
  return categories.find((category) => category.key === key)?.name ?? key;
}

// Paints an element as a category. Returns it.
export function paint(element, categories, key) {
  const place = categories.findIndex((category) => category.key === key);
  const colour = categories[place]?.colour ?? UNKNOWN;
  element.style.setProperty("--fill", colour);
  element.style.setProperty("--on-fill", textColour(colour));
  if (place >= 0) element.classList.add(textureClass(place));
  return element;
}

export const textureClass = (place) => `texture-${place % TEXTURES}`;

// The shortest beginning of a category's name that no other has, of at most three letters.
export function beginning(categories, key) {
  const name = [...nameOf(categories, key)];
  const others = categories.filter((category) => category.key !== key).map((category) => [...category.name].join("").toLowerCase());
  const isOwn = (length) => !others.some((other) => other.startsWith(name.slice(0, length).join("").toLowerCase()));
  return name.slice(0, [1, 2].find(isOwn) ?? 3).join("").trim();
}
