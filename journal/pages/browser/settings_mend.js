// Lines of journal.toml that do not apply: each broken place with the lines around it, to be mended and saved from here.

import { button, card, growingText, make, problemSpot, tell, uniqueId } from "./elements.js";
import { _, _n, inSentence } from "./texts.js";

// `typed` has what is typed, by the first line of each place. `save(place, text)` resolves with what is wrong, or nothing.
export function mendingCards(places, typed, { changed, save }) {
  const about = make("p", { text: _n("One place in journal.toml is broken. What it says does not apply; all else does.", "{count} places in journal.toml are broken. What they say does not apply; all else does.", places.length) });
  const rest = make("p", { class: "quiet", text: _("The settings can be changed here again when this is mended. A copy of the file as it is now is kept.") });
  return [make("div", { class: "notice" }, about, rest), ...places.map((place) => mendingCard(place, typed, { changed, save }))];
}

const linesOf = ({ first, last }) => (first === last ? _("Line {number}", { number: first }) : _("Lines {first} to {last}", { first, last }));

function mendingCard(place, typed, { changed, save }) {
  const id = uniqueId("broken");
  const field = growingText({ id, class: "code", spellcheck: "false", wrap: "off", value: typed[place.first] ?? place.text, "aria-label": _("{lines} of journal.toml", { lines: linesOf(place) }) });
  const spot = problemSpot(`broken.${place.first}`, field);
  const numbers = make("div", { class: "numbers", "aria-hidden": "true" });
  const count = () => {
    const lines = field.value.split("\n").length;
    numbers.textContent = Array.from({ length: lines }, (_line, at) => place.first + at).join("\n");
  };
  field.addEventListener("input", () => {
    typed[place.first] = field.value;
    count();
    changed();
  });
  count();
  const press = button(_("Mend {lines}", { lines: inSentence(linesOf(place)) }), async () => {
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
