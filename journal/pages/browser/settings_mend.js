// Lines of journal.toml that do not apply: each broken place with the lines around it, to be mended and saved from here.

import { button, card, growingText, make, problemSpot, tell, uniqueId } from "./elements.js";

// `typed` has what is typed, by the first line of each place. `save(place, text)` resolves with what is wrong, or nothing.
export function mendingCards(places, typed, { changed, save }) {
  const about = make("p", { text: places.length === 1 ? "One place in journal.toml is broken. What it says does not apply; all else does." : `${places.length} places in journal.toml are broken. What they say does not apply; all else does.` });
  const rest = make("p", { class: "quiet", text: "The settings can be changed here again when this is mended. A copy of the file as it is now is kept." });
  return [make("div", { class: "notice" }, about, rest), ...places.map((place) => mendingCard(place, typed, { changed, save }))];
}

const linesOf = ({ first, last }) => (first === last ? `Line ${first}` : `Lines ${first} to ${last}`);

function mendingCard(place, typed, { changed, save }) {
  const id = uniqueId("broken");
  const field = growingText({ id, class: "code", spellcheck: "false", wrap: "off", value: typed[place.first] ?? place.text, "aria-label": `${linesOf(place)} of journal.toml` });
  const spot = problemSpot(`broken.${place.first}`, field);
  const numbers = make("div", { class: "numbers", "aria-hidden": "true" });
  const count = () => {
    const lines = field.value.split("\n").length;
    numbers.textContent = Array.from({ length: lines }, (_, at) => place.first + at).join("\n");
  };
  field.addEventListener("input", () => {
    typed[place.first] = field.value;
    count();
    changed();
  });
  count();
  const press = button(`Mend ${linesOf(place).toLowerCase()}`, async () => {
    tell(spot, "");
    const wrong = await save(place, field.value);
    if (!wrong) return;
    tell(spot, wrong);
    field.focus();
  });
  tell(spot, place.message);
  return card(
    linesOf(place), "mending", around(place.before),
    make("div", { class: "broken-lines" }, numbers, field), around(place.after), spot, make("div", { class: "presses" }, press),
  );
}

const around = (lines) => make("div", { class: "around" }, lines.map(({ number, text }) => make("div", { class: "code" }, make("span", { class: "number", text: String(number) }), make("span", { text }))));
