// The notes and good things of a day, and the place to write another one, a quote, or a task without a day.

import { button, card, choice, growingText, make, problemSpot } from "./elements.js";
import { number } from "./day_fields.js";
import { leavesLine } from "./keyboard.js";
import { savesItself } from "./saved_field.js";
import { _, N_ } from "./texts.js";

// What can be written down, in words for `_`. A good thing is of a day that is lived.
const KINDS = [
  { value: "notes", name: N_("Note"), hint: N_("A note"), add: N_("Add the note") },
  { value: "quote", name: N_("Quote"), hint: N_("The words"), add: N_("Add the quote") },
  { value: "gratitude", name: N_("Good thing"), hint: N_("A good thing"), add: N_("Add the good thing") },
  { value: "undated", name: N_("Task without a day"), hint: N_("A task without a day"), add: N_("Add the task without a day") },
];

export function dayNotes(page) {
  const lines = (list, name) => page.offer[list].map((text, at) => line(page, list, _(name, { number: at + 1 }), text, at));
  const { gratitude } = page.offer;
  return card(
    _("Notes"), "day-notes",
    make("div", { class: "lines-typed" }, lines("notes", N_("Note {number}"))),
    gratitude.length > 0 && [make("h3", { text: _("Good things") }), make("div", { class: "lines-typed" }, lines("gratitude", N_("Good thing {number}")))],
    adding(page),
  );
}

// A line is a field itself: to reword it is to type in it, to empty it takes it out.
function line(page, list, name, text, at) {
  const path = `${list} ${text.replaceAll(".", "·")}`; // of the line, not its place: a line may come in before it
  const field = growingText({ "aria-label": name, class: "written" });
  savesItself(page, field, { path, saved: text, send: (typed) => page.edit({ what: "line", list, at, text: typed }, path, [path]) });
  return make("div", { class: "line-typed" }, field, problemSpot(path, field));
}

function adding(page) {
  const { typed } = page;
  const kinds = KINDS.filter((one) => one.value !== "gratitude" || page.offer.kind !== "coming");
  const kind = kinds.find((one) => one.value === page.writing) ?? KINDS[0];
  const paths = { text: "add.text", by: "add.by", estimate: "add.estimate" };
  const kept = (input, path) => {
    input.value = typed[path] ?? "";
    input.addEventListener("input", () => page.keep(path, input.value));
    input.addEventListener("keydown", (event) => {
      if (!leavesLine(event)) return;
      event.preventDefault();
      add();
    });
    return input;
  };
  const text = kept(growingText({ "aria-label": _(kind.hint), placeholder: _(kind.hint) }), paths.text);
  const by = kind.value === "quote" && kept(make("input", { type: "text", autocomplete: "off", "aria-label": _("Whose words"), placeholder: _("Whose words (optional)") }), paths.by);
  const minutes = kind.value === "undated" && kept(make("input", { type: "text", inputmode: "numeric", autocomplete: "off", class: "amount", "aria-label": _("Minutes for the task without a day"), placeholder: _("min") }), paths.estimate);
  const add = () => {
    if (!text.value.trim()) return text.focus();
    const edits = {
      quote: () => ({ what: "quote", text: text.value, by: by.value }),
      undated: () => ({ what: "add undated", title: text.value, estimate: number(minutes.value) }),
    };
    const edit = edits[kind.value]?.() ?? { what: "line", list: kind.value, text: text.value };
    return page.edit(edit, "add", Object.values(paths));
  };
  const choose = (value) => {
    page.writing = value;
    page.redraw("notes");
  };
  const chips = choice({ name: "writing", label: _("What to write down"), options: kinds.map((one) => ({ ...one, name: _(one.name) })), chosen: kind.value, choose, kind: "chips", must: true });
  return make(
    "div", { class: "writing" }, chips,
    make("div", { class: "adding" }, text, minutes, button(_("Add"), add, { "aria-label": _(kind.add) })),
    by, problemSpot("add", text), minutes && problemSpot("add.estimate", minutes),
  );
}
