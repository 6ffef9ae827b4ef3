// The habits of a month: a row each with its marks and numbers, and four choices beside them, each saved at once.

import { openChannel } from "./channel.js";
import { debounceRequest } from "./debounce.js";
import { decisionPanel } from "./decision_panel.js";
import { gridRows, hintOf, howMany, proposedValues, sentDecision } from "./decision_state.js";
import { alertPlace, button, drawn, make, tellAll, uniqueId } from "./elements.js";
import { same } from "./form_state.js";
import { habitRow } from "./habit_row.js";
import { askBeforeLeaving } from "./leaving.js";
import { clearProblems, showProblemsOf } from "./problems.js";
import { _, N_ } from "./texts.js";

const SILENT = N_("Not saved: the journal does not answer. If the command has ended, run it again; then reload this page and choose again.");

function render({ model, el }) {
  const channel = openChannel(model);
  const root = make("div", { class: "sheet decisions" });
  const title = make("h2", { id: uniqueId("month") });
  const hint = make("p", { class: "hint" });
  const heads = make("div", { class: "heads", "aria-hidden": "true" });
  const list = make("ul", { class: "rows compact" });
  const unfold = button("", () => fold(list.classList.contains("compact")), { class: "unfold", "aria-expanded": "false" });
  const below = make("div", { class: "below" });
  const said = make("p", { class: "said", role: "status", "aria-live": "polite" });
  const unplaced = alertPlace();
  const answer = make("div", { class: "answer" }, said, unplaced);
  root.append(make("section", { class: "card figure", id: "month-grid", "aria-labelledby": title.id }, title, hint, unfold, heads, list, answer, below));
  el.append(root);

  let offer = null;
  let open = null; // the panel: { key, what, typed, touched }
  let last = Promise.resolve(); // presses are saved one after the other, each on the answer to the one before
  const rows = new Map();

  // On a narrow screen the rows are the names with their marks, until they are unfolded.
  const fold = (isWhole) => {
    list.classList.toggle("compact", !isWhole);
    unfold.setAttribute("aria-expanded", String(isWhole));
  };

  const say = (text, problems = []) => {
    said.textContent = text;
    tellAll(unplaced, problems);
  };

  const rowOf = (key) => offer.habits.find((row) => row.key === key);

  const focusedHere = () => {
    const focused = root.getRootNode().activeElement;
    return focused && root.contains(focused) ? focused : null;
  };

  const show = (next) => {
    const focused = focusedHere();
    const focus = focused && [focused.closest("li")?.dataset.habit, focused.dataset.focus];
    const isOther = offer && offer.period !== next.period;
    if (isOther) say("");
    const before = offer;
    offer = next;
    if (open && (isOther || !rowOf(open.key))) open = null;
    hint.textContent = hintOf(offer);
    hint.classList.toggle("closed", Boolean(offer.closed));
    if (!same(before?.grid, offer.grid)) showGrid(offer.grid);
    unfold.textContent = offer.habits.length ? _("Numbers and decisions, {decided}", { decided: howMany(offer.habits) }) : _("Numbers and decisions");
    rows.clear();
    list.replaceChildren(...gridRows(offer).map(draw));
    if (focused?.isConnected) focused.focus({ preventScroll: true }); // in the open panel, which stays
    else if (focus) focusOn(...focus);
  };

  const showGrid = (grid) => {
    const isOpen = below.querySelector("details")?.open ?? false;
    title.textContent = grid.title;
    heads.replaceChildren(
      drawn(grid.wide_head, { class: "month-marks wide" }), drawn(grid.narrow_head, { class: "month-marks narrow" }), drawn(grid.rate_head, { class: "rate" }),
      make("span", { class: "head-word of-due", text: _("done of due") }), make("span", { class: "head-word of-streaks", text: grid.streak_head }),
    );
    heads.hidden = unfold.hidden = Boolean(grid.empty);
    below.replaceChildren(
      grid.empty ? make("p", { class: "empty", text: grid.empty }) : drawn(grid.marks, { class: "marks-key", "aria-hidden": "true" }),
      grid.note && make("p", { class: "note", text: grid.note }),
      grid.numbers && make("details", { open: isOpen }, make("summary", { text: _("The numbers") }), drawn(grid.numbers)),
    );
  };

  const focusOn = (key, name) => rows.get(key)?.querySelector(`[data-focus="${name}"]`)?.focus({ preventScroll: true });

  const redraw = (key) => {
    const before = rows.get(key);
    if (before) before.replaceWith(draw(gridRows(offer).find((one) => one.key === key)));
  };

  const draw = ({ key, numbers, row }) => {
    const isOpen = open?.key === key;
    const element = habitRow({
      numbers, row, open: isOpen ? open.what : "", panel: isOpen && (open.element ??= panel(row)),
      press: (what) => (what === "back" ? decide(key, what, {}) : choose(rowOf(key), what)),
    });
    rows.set(key, element);
    return element;
  };

  const panel = (row) => {
    const { what, typed } = open;
    const path = `decide.${row.key}`;
    const preview = debounceRequest(
      () => channel.ask("preview", sentDecision(offer, row, what, typed)),
      (answered) => {
        const place = element.querySelector(".coming");
        if (place) place.textContent = answered.said || "";
      },
    );
    const changed = () => {
      open.touched = true;
      if (what === "change") preview();
    };
    const element = decisionPanel(what, row, typed, { path, changed, confirm: (values) => decide(row.key, what, values), cancel: () => close(row.key, what) });
    if (what === "change") preview();
    return element;
  };

  const close = (key, focus) => {
    open = null;
    redraw(key);
    focusOn(key, focus);
  };

  const choose = (row, what) => {
    if (what === "keep") return decide(row.key, row.decision === "keep" ? "back" : what, {});
    const before = open;
    if (before?.key === row.key && before.what === what) return close(row.key, what);
    open = { key: row.key, what, typed: proposedValues(what, row), touched: false };
    if (before && before.key !== row.key) redraw(before.key);
    redraw(row.key);
    const inside = rows.get(row.key).querySelector(".panel");
    const first = what === "change" ? inside.querySelector(".proposal, select") : inside.querySelector('[data-focus="confirm"]');
    (first ?? inside.querySelector("button")).focus();
    return null;
  };

  const decide = (key, what, typed) => {
    last = last.then(() => send(key, what, typed));
    return last;
  };

  const send = async (key, what, typed) => {
    if (!rowOf(key)) return;
    clearProblems(root);
    say(_("Saving…"));
    const { answer: told, offer: after, failed, silent } = await channel.ask("decide", sentDecision(offer, rowOf(key), what, typed));
    if (silent || !told) return say(failed || _(SILENT));
    if (after && after.period !== offer.period) return say(told.said); // another month is shown by now
    if (told.saved) {
      const inRow = !focusedHere() || focusedHere().closest("li")?.dataset.habit === key;
      if (open?.key === key) open = null;
      if (after) show(after);
      if (inRow) focusOn(key, what === "back" ? "keep" : what);
      return say(told.said);
    }
    if (after) show(after);
    if (told.conflict.length) return say(_("Not saved: this was decided or changed elsewhere meanwhile. It is shown as it is now; choose again."));
    return say(_("Not saved."), showProblemsOf(root, `decide.${key}`, told.problems));
  };

  channel.listen(({ offer: next }) => {
    if (next && !same(next, offer)) last = last.then(() => show(next));
  });

  const stopAsking = askBeforeLeaving(() => open?.touched);
  show(model.get("offer"));
  return () => {
    channel.close();
    stopAsking();
  };
}

export default { render };
