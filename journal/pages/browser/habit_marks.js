// Marks of habits and challenges, in words. The chosen one has a shape too: a filled square, a hollow one, a dash for rest.
// Only the chosen one, so that a row without a mark does not look like one with all of them.

import { brokenHint } from "./broken_files.js";
import { button, choice, make, problemSpot } from "./elements.js";
import { aimText, markSentence, markState, otherwiseText, tickSentence } from "./mark_states.js";
import { N_, _ } from "./texts.js";

export function habitMarks(sheet) {
  const { habits, challenges } = sheet.offer;
  const missing = brokenHint(sheet.offer, "settings", _("no habit, challenge or scale is known"));
  if (missing) return missing;
  if (!habits.length && !challenges.length) return make("p", { class: "hint", text: _("No habit is in force on this day. Habits are defined in journal.toml.") });
  const due = habits.filter((habit) => (habit.due && !habit.off) || habit.mark !== null || habit.lot);
  const resting = habits.filter((habit) => habit.due && !due.includes(habit));
  const other = habits.filter((habit) => !due.includes(habit) && !resting.includes(habit));
  return make(
    "div", { class: "kept" },
    make("ul", { class: "rows" }, due.map((habit) => row(sheet, habit)), challenges.map((challenge) => tick(sheet, challenge))),
    resting.length > 0 && restingList(sheet, resting),
    other.length > 0 && make("details", {}, make("summary", { text: _("Not due today, {other}", { other: other.length }) }), make("ul", { class: "rows" }, other.map((habit) => row(sheet, habit)))),
    make("p", { class: "hint", text: _("Choose a mark once more to take it back. A rest keeps a streak.") }),
  );
}

export const MARK_WORDS = { done: N_("done"), missed: N_("not"), rest: N_("rest"), later: N_("later"), partial: N_("part") };

// On time off nothing is asked. A mark can still be made of what was done all the same.
function restingList(sheet, resting) {
  const names = make("p", { class: "quiet", text: _("Time off: {name}. Nothing is due.", { name: resting.map((habit) => habit.name).join(", ") }) });
  const marks = make("details", {}, make("summary", { text: _("Done all the same? {resting}", { resting: resting.length }) }), make("ul", { class: "rows" }, resting.map((habit) => row(sheet, habit))));
  return make("div", { class: "resting" }, names, marks);
}

const shape = (kind) => make("span", { class: `shape ${kind}`, "aria-hidden": "true" });
export const shown = (kind) => [shape(kind), make("span", { class: "word", text: _(MARK_WORDS[kind]) })];

function row(sheet, habit) {
  const status = make("span", { class: "aside", role: "status" });
  const drawn = habit.lot && make("span", { class: "aside lot", text: habit.lot.said });
  const tell = () => {
    const mark = sheet.now.habits[habit.key];
    status.textContent = [markSentence(habit, mark), otherwiseText(habit, mark)].filter(Boolean).join(" · ");
  };
  const set = (value) => {
    sheet.now.habits[habit.key] = value;
    tell();
    sheet.changed(`habits.${habit.key}`);
  };
  const control = habit.kind === "counted" ? counted(sheet, habit, set) : plain(sheet, habit, set);
  tell();
  return make("li", { class: "habit" }, control.element, make("span", { class: "name" }, habit.name, drawn, status), control.beside, problemSpot(`habits.${habit.key}`, control.field));
}

function plain(sheet, habit, set) {
  const options = [
    { value: true, name: _("done"), key: "d", title: _("done"), shown: shown("done") },
    { value: false, name: _("not done"), key: "n", title: _("not done"), shown: shown("missed") },
    { value: "rest", name: _("rest"), key: "r", title: _("rest"), shown: shown("rest") },
  ];
  const element = choice({
    name: `habits.${habit.key}`, label: habit.name, options, chosen: sheet.now.habits[habit.key], choose: set, kind: "marks",
  });
  return { element, field: element, beside: null };
}

function counted(sheet, habit, set) {
  const mark = sheet.now.habits[habit.key];
  const seen = make("span", { class: "seen", "aria-hidden": "true" });
  const field = make("input", {
    type: "text", inputmode: "decimal", autocomplete: "off", class: "amount",
    value: mark === "rest" || mark === null || typeof mark === "boolean" ? "" : mark,
    "aria-label": habit.unit ? `${habit.name}, ${habit.unit}` : habit.name,
  });
  const rest = button("", null, { class: "mark", title: _("rest"), "aria-label": _("{name}, rest", { name: habit.name }) });
  rest.append(...shown("rest"));
  const show = (value) => {
    rest.setAttribute("aria-pressed", String(value === "rest"));
    const state = markState(habit, value);
    seen.replaceChildren(...(MARK_WORDS[state] && state !== "rest" ? shown(state) : []));
  };
  const put = (value) => {
    show(value);
    set(value);
  };
  field.addEventListener("input", () => put(field.value.trim() === "" ? null : field.value));
  rest.addEventListener("click", () => {
    const now = sheet.now.habits[habit.key];
    if (now === "rest") return put(field.value.trim() === "" ? null : field.value);
    return put("rest");
  });
  show(mark);
  return {
    element: make("span", { class: "choice marks" }, seen, rest),
    field,
    beside: make("span", { class: "measure" }, field, make("span", { class: "unit", text: aimText(habit) })),
  };
}

const LATER = "later";

function tick(sheet, challenge) {
  const path = `challenges.${challenge.key}`;
  const options = [
    { value: true, name: _("done"), key: "d", title: _("done"), shown: shown("done") },
    { value: false, name: _("not done"), key: "n", title: _("not done"), shown: shown("missed") },
  ];
  // A day closed late may have been caught up since. Then its tick is the date of catching up.
  const { day, today, tomorrow } = sheet.offer;
  const since = day < today || typeof challenge.ticked === "string";
  if (since) options.push({ value: LATER, name: _("done later"), key: "l", title: _("done later"), shown: shown("later") });
  const put = (value) => {
    sheet.now.challenges[challenge.key] = value;
    laterDate.hidden = typeof value !== "string";
    tell();
    sheet.changed(path);
  };
  const ticked = sheet.now.challenges[challenge.key];
  const date = make("input", {
    type: "date", min: tomorrow.day, max: today, value: typeof ticked === "string" ? ticked : today, "aria-label": _("{name}, done on", { name: challenge.name }),
    oninput: () => put(date.value),
  });
  const laterDate = make("span", { class: "measure", hidden: typeof ticked !== "string" }, date);
  const element = choice({
    name: path, label: _("Challenge: {name}", { name: challenge.name }), options, kind: "marks", chosen: typeof ticked === "string" ? LATER : ticked,
    choose: (value) => put(value === LATER ? date.value : value),
  });
  const status = make("span", { class: "aside", role: "status" });
  const tell = () => {
    status.textContent = tickSentence(challenge, sheet.now.challenges[challenge.key]);
  };
  tell();
  return make(
    "li", { class: "habit" }, element,
    make("span", { class: "name" }, _("Challenge: {name}", { name: challenge.name }), challenge.prompt && make("span", { class: "prompt", text: challenge.prompt }), status),
    since && laterDate,
    problemSpot(path, element, date),
  );
}
