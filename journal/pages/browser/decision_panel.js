// The panels of a decision: until when a habit rests, on which day it ends, or what is different from a day on.

import { button, labelled, make, problemSpot } from "./elements.js";
import { scheduleFields } from "./schedule_fields.js";

// `typed` is changed in place; `changed()` is called after each change, `confirm()` saves, `cancel()` closes the panel.
export function decisionPanel(what, row, typed, { path, changed, confirm, cancel }) {
  const parts = { rest: restParts, drop: dropParts, change: changeParts }[what](row, typed, { path, changed });
  const titles = { rest: `${row.name} rests`, drop: `${row.name} ends`, change: `${row.name}, changed` };
  const presses = { rest: "Rest until then", drop: "Drop it", change: "Save the change" };
  const closed = what === "rest" ? row.rest_closed : "";
  const saves = closed ? null : button(presses[what], confirm, { class: "save", "data-focus": "confirm" });
  return make(
    "div", { class: "panel", role: "group", "aria-label": titles[what] },
    closed ? make("p", { class: "quiet", text: closed }) : parts,
    make("div", { class: "presses" }, saves, button("Cancel", cancel, { class: "quiet" })),
    problemSpot(path, ...[saves].filter(Boolean)),
  );
}

function restParts(row, typed, sheet) {
  return [make("p", { class: "quiet", text: "Its days are rest. A rest keeps a streak and is in no rate." }), days([["From", "from"], ["Until", "until"]], typed, sheet)];
}

function dropParts(row, typed, sheet) {
  return [make("p", { class: "quiet", text: "It is not due after this day. What was marked stays." }), days([["Last day", "until"]], typed, sheet)];
}

function changeParts(row, typed, sheet) {
  const { path, changed } = sheet;
  const schedule = scheduleFields(typed.schedule, { path: `${path}.schedule`, changed, otherWords: row.proposal.other_words });
  return [
    make("p", { class: "quiet", text: `Until then it stays as it is: ${row.schedule}.` }),
    days([["From", "from"]], typed, sheet), schedule, amount(typed, sheet),
    make("p", { class: "coming", role: "status" }),
  ];
}

function days(fields, typed, { path, changed }) {
  return make("div", { class: "days-asked" }, fields.map(([label, name]) => {
    const field = make("input", { type: "date", value: typed[name] });
    field.addEventListener("input", () => {
      typed[name] = field.value;
      changed();
    });
    return labelled(label, field, `${path}.${name}`);
  }));
}

// "at least 20 pages": an amount is optional, and its aim and unit belong to it.
function amount(typed, { path, changed }) {
  const input = (name, label, attributes) => {
    const field = make("input", { type: "text", autocomplete: "off", value: typed[name], "aria-label": label, ...attributes });
    field.addEventListener("input", () => {
      typed[name] = field.value;
      changed();
    });
    return field;
  };
  const aim = make("select", { "aria-label": "At least or at most" }, ["at least", "at most"].map((text) => make("option", { value: text, text })));
  aim.value = typed.aim;
  aim.addEventListener("change", () => {
    typed.aim = aim.value;
    changed();
  });
  const target = input("target", "Amount", { inputmode: "decimal", class: "amount" });
  const unit = input("unit", "Unit", { class: "unit-typed", placeholder: "e.g. pages" });
  return make(
    "div", { class: "labelled" }, make("span", { class: "question", text: "Amount, if it is counted" }),
    make("div", { class: "phrase" }, aim, target, unit), problemSpot(`${path}.target`, target), problemSpot(`${path}.aim`, aim), problemSpot(`${path}.unit`, unit),
  );
}
