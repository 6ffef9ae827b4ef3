// The fields of a review: one for each prompt, notes, and the prompts themselves to be changed.

import { button, growingText, labelled, make, problemSpot } from "./elements.js";
import { leavesLine } from "./keyboard.js";
import { newQuestion, oneLine, promptOf, shownQuestions } from "./review_state.js";
import { lines } from "./text_fields.js";
import { _, N_ } from "./texts.js";

// `sheet` has offer and now; `changed` is called after every change.
export function reviewFields(sheet) {
  const questions = make("div", { class: "questions" });
  const printed = make("dl", { class: "printed" });
  const print = () => printed.replaceChildren(...printedReview(sheet.now));
  const draw = () => {
    const shown = shownQuestions(sheet.now);
    questions.replaceChildren(...shown.map((one, place) => question(sheet, one, `answers.${place}`)));
    if (!shown.length) questions.append(make("p", { class: "empty", text: _("No prompt is asked. Add one under “Change the prompts”.") }));
    print();
  };
  const changed = sheet.changed;
  const inner = { ...sheet, changed: (path) => { print(); changed(path); } };
  sheet.changed = inner.changed;
  draw();
  return make(
    "div", {},
    make("div", { class: "halves" }, make("div", { class: "half" }, questions), make("div", { class: "half" }, make("h3", { text: _("Notes") }), lines(inner, "notes", _("Note"), _("Add a note")), promptEditor(inner, draw))),
    printed,
  );
}

function question(sheet, one, path) {
  const field = growingText({
    value: one.answer, rows: 3,
    oninput: () => {
      one.answer = field.value;
      sheet.changed(path);
    },
  });
  const made = labelled(promptOf(one), field, path);
  if (!one.asked) made.append(make("p", { class: "hint", text: _("This prompt is no longer asked. Its answer stays until you empty it.") }));
  return made;
}

const ASKED = {
  week: N_("Asked on every page of a week, from journal.toml. An answer that is saved keeps the prompt it was written to."),
  month: N_("Asked on every page of a month, from journal.toml. An answer that is saved keeps the prompt it was written to."),
  year: N_("Asked on every page of a year, from journal.toml. An answer that is saved keeps the prompt it was written to."),
};

// The prompts, each with a field and ways to move it and take it out.
function promptEditor(sheet, draw) {
  const { now, offer } = sheet;
  const summary = make("summary", { text: _("Change the prompts") });
  if (offer.prompts_closed) return make("details", { class: "prompts" }, summary, make("p", { text: offer.prompts_closed }));
  const list = make("ol", { class: "rows" });
  const rows = () => now.questions.filter((one) => one.asked);
  const touched = (path) => {
    draw();
    sheet.changed(path);
  };
  const put = (order) => {
    now.questions.splice(0, now.questions.length, ...order, ...now.questions.filter((one) => !order.includes(one)));
    show();
    touched("prompts");
  };
  const focus = (at, name) => {
    const row = list.children[at];
    (row.querySelector(`[data-way="${name}"]:not(:disabled)`) ?? row.querySelector("textarea")).focus();
  };
  const add = () => {
    now.questions.push(newQuestion("", now.questions));
    put(rows());
    focus(rows().length - 1, "field");
  };
  const move = (at, by) => {
    const order = rows();
    order.splice(at + by, 0, ...order.splice(at, 1));
    put(order);
    focus(at + by, by < 0 ? "up" : "down");
  };
  const remove = (at) => {
    const [one] = rows().splice(at, 1);
    one.asked = false;
    put(rows());
    if (rows().length) focus(Math.min(at, rows().length - 1), "away");
    else more.focus();
  };
  const row = (one, at, all) => {
    const field = growingText({ value: one.prompt, "aria-label": _("Prompt {number}", { number: at + 1 }) });
    field.addEventListener("input", () => {
      one.prompt = field.value;
      touched("prompts");
    });
    field.addEventListener("keydown", (event) => {
      if (!leavesLine(event)) return;
      event.preventDefault();
      if (at + 1 < rows().length) list.children[at + 1].querySelector("textarea").focus();
      else if (oneLine(field.value)) add();
    });
    const number = at + 1;
    const way = (text, label, title, press, attributes) => button(text, press, { class: "step", "aria-label": label, title, ...attributes });
    return make(
      "li", {}, field,
      way("↑", _("Prompt {number}: move up", { number }), _("move up"), () => move(at, -1), { disabled: at === 0, "data-way": "up" }),
      way("↓", _("Prompt {number}: move down", { number }), _("move down"), () => move(at, 1), { disabled: at === all.length - 1, "data-way": "down" }),
      way("×", _("Prompt {number}: take out", { number }), _("take out"), () => remove(at), { class: "away", "data-way": "away" }),
      problemSpot(`prompts.${at}`, field),
    );
  };
  const show = () => list.replaceChildren(...rows().map(row));
  const more = button(_("+ Add a prompt"), add, { class: "quiet" });
  show();
  const hint = _(ASKED[offer.kind]);
  return make("details", { class: "prompts" }, summary, make("p", { class: "hint", text: hint }), list, problemSpot("prompts"), more);
}

// What is printed: each prompt with its answer, then the notes.
function printedReview(now) {
  const notes = now.notes.map((note) => note.trim()).filter(Boolean);
  const rows = shownQuestions(now).map((one) => [promptOf(one), one.answer.trim() || _("Not answered.")]);
  if (notes.length) rows.push([_("Notes"), notes.join("\n")]);
  return rows.flatMap(([prompt, text]) => [make("dt", { text: prompt }), make("dd", { text })]);
}
