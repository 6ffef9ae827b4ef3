// What becomes of each habit of a month: four choices in its row, each saved at once. On a narrow screen the rows are folded.

import { openChannel } from "./channel.js";
import { debounceRequest } from "./debounce.js";
import { decisionPanel } from "./decision_panel.js";
import { CHOICES, howMany, proposedValues, sentDecision } from "./decision_state.js";
import { button, card, make } from "./elements.js";
import { same } from "./form_state.js";
import { askBeforeLeaving } from "./leaving.js";
import { clearProblems, showProblemsOf } from "./problems.js";

const SILENT = "Not saved: the journal does not answer. If the command has ended, run it again; then reload this page and choose again.";

function render({ model, el }) {
  const channel = openChannel(model);
  const root = make("div", { class: "sheet decisions" });
  const late = make("p", { class: "hint" });
  const list = make("ul", { class: "rows" });
  const summary = make("summary", {});
  const rowsOf = make("details", { open: matchMedia("(min-width: 60rem)").matches }, summary, list);
  const said = make("p", { class: "said", role: "status", "aria-live": "polite" });
  const unplaced = make("ul", { class: "unplaced", role: "alert" });
  root.append(card("What becomes of each habit", "deciding", late, rowsOf, make("div", { class: "answer" }, said, unplaced)));
  el.append(root);

  let offer = null;
  let open = null; // the panel: { key, what, typed, touched }
  let last = Promise.resolve(); // presses are saved one after the other, each on the answer to the one before
  const rows = new Map();

  const say = (text, problems = []) => {
    said.textContent = text;
    unplaced.replaceChildren(...problems.map((one) => make("li", { text: one })));
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
    offer = next;
    if (open && (isOther || !rowOf(open.key))) open = null;
    late.textContent = offer.closed || offer.late || "Each choice is saved at once, to the page of the month and to journal.toml, and can be taken back.";
    summary.textContent = howMany(offer.habits);
    rows.clear();
    list.replaceChildren(...offer.habits.map(draw));
    if (!offer.closed && !offer.habits.length) late.textContent = "No habit is in force here.";
    if (focused?.isConnected) focused.focus({ preventScroll: true }); // in the open panel, which stays
    else if (focus) focusOn(...focus);
  };

  const focusOn = (key, name) => rows.get(key)?.querySelector(`[data-focus="${name}"]`)?.focus({ preventScroll: true });

  const redraw = (key) => {
    const before = rows.get(key);
    if (before) before.replaceWith(draw(rowOf(key)));
  };

  const draw = (row) => {
    const isOpen = open?.key === row.key;
    const choices = CHOICES.map(({ what, name }) => button(name, () => choose(row, what), {
      class: "chip", "data-focus": what, "aria-pressed": String(row.decision === what), "aria-expanded": what === "keep" ? null : String(isOpen && open.what === what),
    }));
    const back = row.can_be_taken_back && button("Take back", () => decide(row.key, "back", {}), { class: "quiet", "data-focus": "back" });
    const decided = [row.said, row.note].filter(Boolean).join(" ");
    const element = make(
      "li", { class: "deciding-habit", "data-habit": row.key, "aria-label": row.name },
      make("div", { class: "head" }, make("span", { class: "name", text: row.name }), make("span", { class: "aside", text: row.schedule })),
      make("div", { class: "choices", role: "group", "aria-label": `What becomes of ${row.name}` }, choices),
      make("p", { class: "decided" }, decided && make("span", { text: decided }), back),
      isOpen && (open.element ??= panel(row)),
    );
    rows.set(row.key, element);
    return element;
  };

  const panel = (row) => {
    const { what, typed } = open;
    const path = `decide.${row.key}`;
    const preview = debounceRequest(
      () => channel.ask("preview", sentDecision(offer, row, what, typed)),
      (answer) => {
        const place = element.querySelector(".coming");
        if (place) place.textContent = answer.said || "";
      },
    );
    const changed = () => {
      open.touched = true;
      if (what === "change") preview();
    };
    const element = decisionPanel(what, row, typed, { path, changed, confirm: () => decide(row.key, what, typed), cancel: () => close(row.key, what) });
    if (what === "change") preview();
    return element;
  };

  const close = (key, focus) => {
    open = null;
    redraw(key);
    focusOn(key, focus);
  };

  const choose = (row, what) => {
    if (what === "keep") return decide(row.key, what, {});
    const before = open;
    if (before?.key === row.key && before.what === what) return close(row.key, what);
    open = { key: row.key, what, typed: proposedValues(what, row), touched: false };
    if (before && before.key !== row.key) redraw(before.key);
    redraw(row.key);
    const first = what === "change" ? rows.get(row.key).querySelector(".panel select") : rows.get(row.key).querySelector('[data-focus="confirm"]');
    (first ?? rows.get(row.key).querySelector(".panel button")).focus();
    return null;
  };

  const decide = (key, what, typed) => {
    last = last.then(() => send(key, what, typed));
    return last;
  };

  const send = async (key, what, typed) => {
    if (!rowOf(key)) return;
    clearProblems(root);
    say("Saving…");
    const { answer, offer: after, failed, silent } = await channel.ask("decide", sentDecision(offer, rowOf(key), what, typed));
    if (silent || !answer) return say(failed || SILENT);
    if (after && after.period !== offer.period) return say(answer.said); // another month is shown by now
    if (answer.saved) {
      const inRow = !focusedHere() || focusedHere().closest("li")?.dataset.habit === key;
      if (open?.key === key) open = null;
      show(after);
      if (inRow) focusOn(key, what === "back" ? "keep" : what);
      return say(answer.said);
    }
    if (after) show(after);
    if (answer.conflict.length) return say("Not saved: this was decided or changed elsewhere meanwhile. It is shown as it is now; choose again.");
    return say("Not saved.", showProblemsOf(root, `decide.${key}`, answer.problems));
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
