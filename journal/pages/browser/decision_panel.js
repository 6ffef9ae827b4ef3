// The panels of a decision: until when a habit rests, on which day it ends, or what is different from a day on.

import { readyValues } from "./decision_state.js";
import { button, labelled, make, problemSpot } from "./elements.js";
import { scheduleFields } from "./schedule_fields.js";
import { _, _p } from "./texts.js";

// `typed` is changed in place; `changed()` is called after each change, `confirm(typed)` saves, `cancel()` closes the panel.
export function decisionPanel(what, row, typed, sheet) {
  const titles = { rest: _("{name} rests", row), drop: _("{name} ends", row), change: _("{name}, changed", row) };
  const closed = what === "rest" ? row.rest_closed : "";
  const parts = closed ? [make("p", { class: "quiet", text: closed }), ...saving(null, sheet)] : PARTS[what](row, typed, sheet);
  return make("div", { class: "panel", role: "group", "aria-label": titles[what] }, parts);
}

const PARTS = { rest: restParts, drop: dropParts, change: changeParts };

// The button that saves what is typed, if there is one, the one that closes the panel, and the place of its problems.
function saving(text, { path, confirm, cancel }, typed) {
  const save = text && button(text, () => confirm(typed), { class: "save", "data-focus": "confirm" });
  return [make("div", { class: "presses" }, save, button(_("Cancel"), cancel, { class: "quiet cancel" })), problemSpot(path, ...[save].filter(Boolean))];
}

function restParts(row, typed, sheet) {
  const said = make("p", { class: "quiet", text: _("Its days are rest. A rest keeps a streak and is in no rate.") });
  return [said, days([[_("From"), "from"], [_("Until"), "until"]], typed, sheet), ...saving(_("Rest until then"), sheet, typed)];
}

function dropParts(row, typed, sheet) {
  const said = make("p", { class: "quiet", text: _("It is not due after this day. What was marked stays.") });
  return [said, days([[_("Last day"), "until"]], typed, sheet), ...saving(_p("a habit", "Drop it"), sheet, typed)];
}

// The changes that the habit's record proposes, each saved by one press, and a form in words for any other.
function changeParts(row, typed, sheet) {
  const ready = row.ready.map((one) => make("li", {}, proposal(one, () => sheet.confirm(readyValues(row, one)))));
  const form = changeForm(row, typed, sheet);
  const until = make("p", { class: "quiet", text: _("Until then it stays as it is: {schedule}.", row) });
  if (!ready.length) return [make("p", { class: "quiet", text: _("Too little was logged to propose a change. Say it in words.") }), until, form, ...saving(null, sheet)];
  return [
    make("p", { class: "quiet", text: _("From {first}. Each of these is saved by one press. Until then it stays as it is: {schedule}.", row) }),
    make("ul", { class: "ready" }, ready),
    make("details", { class: "otherwise" }, make("summary", { text: _("Another change, in words") }), form), ...saving(null, sheet),
  ];
}

function proposal(one, press) {
  return make(
    "button", { type: "button", class: "proposal", "data-focus": "proposal", onclick: press },
    make("span", { class: "what", text: one.said }),
    make("span", { class: "coming-days", text: one.coming }),
    one.because && make("span", { class: "because", text: one.because }),
  );
}

function changeForm(row, typed, sheet) {
  const { path, changed } = sheet;
  const schedule = scheduleFields(typed.schedule, { path: `${path}.schedule`, changed, otherWords: row.proposal.other_words });
  return make(
    "div", { class: "in-words" }, days([[_("From"), "from"]], typed, sheet), schedule, amount(typed, sheet),
    make("p", { class: "coming", role: "status" }), button(_("Save the change"), () => sheet.confirm(typed), { class: "save", "data-focus": "confirm" }),
  );
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
  const aim = make("select", { "aria-label": _("At least or at most") }, [make("option", { value: "at least", text: _("at least") }), make("option", { value: "at most", text: _("at most") })]);
  aim.value = typed.aim;
  aim.addEventListener("change", () => {
    typed.aim = aim.value;
    changed();
  });
  const example = _("pages");
  const target = input("target", _("Amount"), { inputmode: "decimal", class: "amount" });
  const unit = input("unit", _("Unit"), { class: "unit-typed", placeholder: _("e.g. {example}", { example }) });
  return make(
    "div", { class: "labelled" }, make("span", { class: "question", text: _("Amount, if it is counted") }),
    make("div", { class: "phrase" }, aim, target, unit), problemSpot(`${path}.target`, target), problemSpot(`${path}.aim`, aim), problemSpot(`${path}.unit`, unit),
  );
}
