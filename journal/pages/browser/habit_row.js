// A habit of a month in one row: its marks, count, rate, streak and the month before, and what becomes of it.

import { button, drawn, make } from "./elements.js";
import { CHOICES } from "./decision_state.js";
import { _ } from "./texts.js";

// `numbers` is the row of the grid, `row` the decision on the habit; either may be missing. `open` is what its panel is for.
// `panel` is the open panel, `press` takes a choice or "back".
export function habitRow({ numbers, row, open, panel, press }) {
  const name = row?.name ?? numbers.name;
  return make(
    "li", { class: "deciding-habit", "data-habit": row?.key ?? numbers.key, "aria-label": name },
    make("div", { class: "head" }, make("span", { class: "name", text: name }), row && make("span", { class: "aside", text: row.schedule })),
    numbers && numbersOf(numbers),
    row && choices(row, open, press),
    row && decided(row, press),
    panel,
  );
}

function numbersOf(numbers) {
  const streak = _("streak");
  return [
    drawn(numbers.wide, { class: "month-marks wide" }),
    drawn(numbers.narrow, { class: "month-marks narrow" }),
    make("p", { class: "counted", text: numbers.counted }),
    drawn(numbers.rate, { class: "rate" }),
    numbers.rate_words && make("p", { class: "rate-words", text: numbers.rate_words, "aria-hidden": "true" }),
    make("p", { class: "streak" }, numbers.streak && make("span", { class: "unit-word", text: `${streak} ` }), numbers.streak),
    make("p", { class: "before", text: numbers.before }),
  ];
}

function choices(row, open, press) {
  const chips = CHOICES.map(({ what, name }) => button(_(name), () => press(what), {
    class: "chip", "data-focus": what, "aria-pressed": String(row.decision === what), "aria-expanded": what === "keep" ? null : String(open === what),
  }));
  return make("div", { class: "choices", role: "group", "aria-label": _("What becomes of {name}", row) }, chips);
}

// What was decided, and the way back. A habit that is kept says so by its choice, which takes itself back.
function decided(row, press) {
  const isKept = row.decision === "keep";
  const said = [isKept ? "" : row.said, row.note].filter(Boolean).join(" ");
  const back = row.can_be_taken_back && !isKept && button(_("Take back"), () => press("back"), { class: "quiet", "data-focus": "back" });
  return make("p", { class: "decided" }, said && make("span", { text: said }), back);
}
