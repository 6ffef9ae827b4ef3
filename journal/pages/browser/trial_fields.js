// The form of a new trial: its plan in eight fields, how long it must run, and only then the button that draws the lots.

import { button, labelled, make, problemSpot } from "./elements.js";
import { proposedQuestion } from "./trial_state.js";
import { _, _p, N_ } from "./texts.js";

const LAGS = [{ key: "1", name: N_("the day after") }, { key: "0", name: N_("the same day") }];

// `sheet` has `typed`, `offer`, `changed()`, `ask()` for the length, `draw(sure)` and `cancel()`. Returns the element, and
// what the answers to these show in it.
export function trialFields(sheet) {
  const { offer, typed } = sheet;
  const length = make("div", { class: "length", role: "status", "aria-live": "polite" });
  const question = field(sheet, "question", { type: "text", placeholder: proposedQuestion(offer, typed) });
  const retold = () => { question.placeholder = proposedQuestion(offer, typed); };
  const draw = button(_("Draw the lots"), () => sheet.draw(false), { class: "save", "data-focus": "draw", hidden: true });
  const ask = button(_("How long must it run?"), sheet.ask, { "data-focus": "length" });
  const asked = make("div", { class: "notice asks-again", role: "alert", hidden: true });
  const changed = () => {
    retold();
    draw.hidden = true;
    asked.hidden = true;
    length.replaceChildren();
    sheet.changed();
  };
  const of = { ...sheet, changed };
  const element = make(
    "div", { class: "panel new-trial", role: "group", "aria-label": _("New trial") },
    labelled(_("The question, in your words"), listens(question, of, "question"), "trial.question"),
    make("div", { class: "days-asked" },
      chosen(of, "habit", _("By lot"), offer.habits), chosen(of, "outcome", _("What is looked at"), offer.outcomes), chosen(of, "lag", _p("a day", "On"), LAGS.map(({ key, name }) => ({ key, name: _(name) })))),
    make("div", { class: "days-asked" },
      typedField(of, "from", _("First day"), { type: "date", min: offer.earliest }), typedField(of, "days", _("Days"), COUNT),
      typedField(of, "block", _("Days a block"), COUNT), typedField(of, "washout", _("Left out at its start"), COUNT)),
    make("p", { class: "hint", text: offer.blocks_said }),
    length, asked,
    make("div", { class: "presses" }, ask, draw, button(_("Cancel"), sheet.cancel, { class: "quiet cancel" })), problemSpot("trial", ask),
  );
  return {
    element,
    tell: (lines) => {
      length.replaceChildren(...lines.map((text) => make("p", { text })));
      draw.hidden = false;
    },
    askAgain: (lines) => {
      const sure = button(_("It is none of these: draw the lots"), () => sheet.draw(true), { "data-focus": "sure" });
      asked.replaceChildren(...lines.map((text) => make("p", { text })), make("div", { class: "presses" }, sure, button(_("Leave it"), sheet.cancel, { class: "quiet" })));
      asked.hidden = false;
      sure.focus();
    },
  };
}

const COUNT = { type: "text", inputmode: "numeric", class: "amount" };

const field = ({ typed }, name, attributes) => make("input", { autocomplete: "off", value: typed[name], ...attributes });

function listens(input, { typed, changed }, name) {
  input.addEventListener("input", () => {
    typed[name] = input.value;
    changed();
  });
  return input;
}

const typedField = (sheet, name, label, attributes) => labelled(label, listens(field(sheet, name, attributes), sheet, name), `trial.${name}`);

function chosen(sheet, name, label, options) {
  const select = make("select", {}, options.map((one) => make("option", { value: one.key, text: one.name })));
  select.value = sheet.typed[name];
  select.addEventListener("change", () => {
    sheet.typed[name] = select.value;
    sheet.changed();
  });
  return labelled(label, select, `trial.${name}`);
}
