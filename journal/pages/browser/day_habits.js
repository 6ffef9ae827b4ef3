// The habits and challenges of a day, each saved as it is marked.

import { button, card, choice, make, problemSpot } from "./elements.js";
import { number } from "./day_fields.js";
import { MARK_WORDS, shown } from "./habit_marks.js";
import { aimText, markSentence, markState, otherwiseText, tickSentence } from "./mark_states.js";
import { savesItself } from "./saved_field.js";
import { _, numberText } from "./texts.js";

export function dayHabits(page) {
  const { habits, challenges, coming_habits: coming, kind } = page.offer;
  if (kind === "coming") return comingCard(coming, challenges);
  if (!habits.length && !challenges.length) return null;
  const due = habits.filter((habit) => habit.due || habit.mark !== null || habit.lot);
  const other = habits.filter((habit) => !due.includes(habit));
  const fold = make("details", { open: page.opened.has("not due") }, make("summary", { text: _("Not due, {count}", { count: other.length }) }), make("ul", { class: "rows" }, other.map((habit) => row(page, habit))));
  fold.addEventListener("toggle", () => page.opened[fold.open ? "add" : "delete"]("not due"));
  return card(
    _("Habits"), "habits-card",
    make("ul", { class: "rows" }, due.map((habit) => row(page, habit)), challenges.map((challenge) => tick(page, challenge))),
    other.length > 0 && fold,
  );
}

function comingCard(habits, challenges) {
  if (!habits.length && !challenges.length) return null;
  const line = (name, aside) => make("li", {}, make("span", { class: "name", text: name }), aside && make("span", { class: "aside", text: aside }));
  return card(_("Habits due"), "habits-card", make("ul", { class: "rows" }, habits.map((habit) => line(habit.name, habit.said)), challenges.map((one) => line(_("Challenge: {name}", one), one.prompt))));
}

const marks = () => [
  { value: true, name: _("done"), key: "d", title: _("done"), shown: shown("done") },
  { value: false, name: _("not done"), key: "n", title: _("not done"), shown: shown("missed") },
  { value: "rest", name: _("rest"), key: "r", title: _("rest"), shown: shown("rest") },
];

function row(page, habit) {
  const path = `habit ${habit.key}`;
  const status = make("span", { class: "aside", text: [markSentence(habit, habit.mark), otherwiseText(habit, habit.mark)].filter(Boolean).join(" · ") });
  const put = (mark, clears = []) => page.edit({ what: "habit", key: habit.key, mark }, path, clears);
  const { element, beside, field } = habit.kind === "counted" ? counted(page, habit, path, put) : plain(habit, path, put);
  return make("li", { class: "habit" }, element, make("span", { class: "name" }, habit.name, habit.lot && make("span", { class: "aside lot", text: habit.lot.said }), status), beside, problemSpot(path, field));
}

function plain(habit, path, put) {
  const element = choice({ name: path, label: habit.name, options: marks(), chosen: habit.mark, choose: (mark) => put(mark), kind: "marks" });
  return { element, field: element, beside: null };
}

function counted(page, habit, path, put) {
  const saved = typeof habit.mark === "number" ? numberText(habit.mark) : "";
  const field = make("input", { type: "text", inputmode: "decimal", autocomplete: "off", class: "amount", "aria-label": habit.unit ? `${habit.name}, ${habit.unit}` : habit.name });
  savesItself(page, field, { path: `${path}.mark`, saved, send: (text) => put(number(text), [`${path}.mark`]) });
  const rest = button("", () => put(habit.mark === "rest" ? null : "rest"), { class: "mark", title: _("rest"), "aria-label": _("{name}, rest", habit), "aria-pressed": String(habit.mark === "rest") });
  rest.append(...shown("rest"));
  const state = markState(habit, habit.mark);
  const seen = make("span", { class: "seen", "aria-hidden": "true" }, MARK_WORDS[state] && state !== "rest" ? shown(state) : null);
  return {
    element: make("span", { class: "choice marks" }, seen, rest),
    field,
    beside: make("span", { class: "measure" }, field, make("span", { class: "unit", text: aimText(habit) })),
  };
}

const LATER = "later";

function tick(page, challenge) {
  const path = `challenge ${challenge.key}`;
  const { day, today, after } = page.offer;
  const isLater = typeof challenge.ticked === "string";
  const put = (value) => page.edit({ what: "challenge", key: challenge.key, tick: value }, path);
  const options = marks().slice(0, 2);
  if (day < today || isLater) options.push({ value: LATER, name: _("done later"), key: "l", title: _("done later"), shown: shown("later") });
  const date = make("input", { type: "date", min: after, max: today, value: isLater ? challenge.ticked : today, "aria-label": _("{name}, done on", challenge) });
  date.addEventListener("change", () => put(date.value));
  const element = choice({
    name: path, label: _("Challenge: {name}", challenge), options, kind: "marks", chosen: isLater ? LATER : challenge.ticked,
    choose: (value) => put(value === LATER ? date.value : value),
  });
  return make(
    "li", { class: "habit" }, element,
    make("span", { class: "name" }, _("Challenge: {name}", challenge), challenge.prompt && make("span", { class: "prompt", text: challenge.prompt }), make("span", { class: "aside", text: tickSentence(challenge, challenge.ticked) })),
    isLater && make("span", { class: "measure" }, date),
    problemSpot(path, element, date),
  );
}
