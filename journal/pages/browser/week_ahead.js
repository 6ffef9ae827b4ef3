// The week ahead: seven days, the tasks to put on one of them, and the way to take that back.

import { dayRow, taskRow } from "./ahead_days.js";
import { nextPlace, regularText, UNDATED } from "./ahead_words.js";
import { openChannel } from "./channel.js";
import { button, card, make } from "./elements.js";
import { same } from "./form_state.js";
import { _, N_ } from "./texts.js";

const SILENT = N_("The journal does not answer, so it is not certain that this was saved. If the command has ended, run it again; then reload this page.");
const FEW = 10; // tasks without a day that are shown at once

function render({ model, el }) {
  const channel = openChannel(model);
  const root = make("div", { class: "sheet ahead" });
  const days = make("ol", { class: "days" });
  const once = make("p", { class: "aside" });
  const problems = make("ul", { class: "unplaced" });
  const waiting = make("div", { class: "waiting" });
  const status = make("p", { class: "said", role: "status", "aria-live": "polite" });
  const backButton = button(_("Take back"), () => back());
  const bar = make("div", { class: "bar" }, backButton, status);
  const hint = make("p", { class: "hint", text: _("Seven days from tomorrow. Until a day is planned, its open time is by the usual hours. A task that you put on a day is saved at once.") });
  const ahead = card(_("The week ahead"), "week-ahead", hint, problems, make("div", { class: "ahead-halves" }, make("div", {}, days, once), waiting), bar);
  el.append(root);

  let offer = model.get("offer");
  let saving = false;
  let allShown = false;
  const undos = []; // the newest last: each takes back one put
  const moves = { open: null, toggle, put };

  const say = (text) => {
    status.textContent = text;
    backButton.hidden = !undos.length;
    backButton.setAttribute("aria-label", undos.length ? _("Take back: {title}", undos.at(-1)) : _("Take back"));
    bar.hidden = !text && !undos.length;
  };

  const mover = (ref) => [...root.querySelectorAll(".mover")].find((one) => one.dataset.ref === ref);

  function toggle(ref) {
    moves.open = moves.open === ref ? null : ref;
    show(offer);
    if (moves.open) root.querySelector(".places button:not(:disabled)")?.focus();
    else mover(ref)?.focus();
  }

  const list = (title, tasks, key) => tasks.length > 0 && [
    make("h3", { text: `${title}, ${tasks.length}` }),
    make("ul", { class: "rows tasks", "aria-label": title, "data-list": key }, (allShown ? tasks : tasks.slice(0, FEW)).map((task) => taskRow(task, offer, moves))),
    !allShown && tasks.length > FEW && button(_("Show all {count}", { count: tasks.length }), () => {
      allShown = true;
      show(offer);
      root.querySelectorAll(`[data-list="${key}"] .mover`)[FEW]?.focus();
    }, { class: "quiet" }),
  ];

  // Renders the days. The focus stays on the control of the same name in the same list.
  const show = (next) => {
    const focused = root.getRootNode().activeElement;
    const name = focused && root.contains(focused) && focused !== backButton ? focused.getAttribute("aria-label") : null;
    const within = focused?.closest?.(".places")?.getAttribute("aria-label");
    offer = next;
    days.replaceChildren(...offer.days.map((day) => dayRow(day, offer, moves)));
    const undecided = offer.waiting.filter(({ kind }) => kind !== "undated");
    const undated = offer.waiting.filter(({ kind }) => kind === "undated");
    const lists = [list(_("To decide on"), undecided, "decide"), list(_("Without a day"), undated, UNDATED)].filter(Boolean).flat().filter(Boolean);
    waiting.replaceChildren(...(lists.length ? lists : [make("p", { class: "empty", text: _("No task waits without a day.") })]));
    once.textContent = regularText(offer.regular);
    once.hidden = !once.textContent;
    problems.replaceChildren(...offer.problems.map((text) => make("li", { text })));
    problems.hidden = !offer.problems.length;
    root.replaceChildren(...(offer.shown ? [ahead] : []));
    if (!name || root.contains(root.getRootNode().activeElement)) return;
    const group = within && [...root.querySelectorAll(".places")].find((one) => one.getAttribute("aria-label") === within);
    [...(group || root).querySelectorAll("[aria-label]")].find((one) => one.getAttribute("aria-label") === name)?.focus({ preventScroll: true });
  };

  const ask = async (request, params) => {
    if (saving) return null;
    saving = true;
    say(_("Saving…"));
    try {
      const answer = await channel.ask(request, params);
      if (answer.offer) answer.offer.shown = offer.shown;
      return answer.silent || !("saved" in answer) ? { said: answer.failed || _(SILENT) } : answer;
    } finally {
      saving = false;
    }
  };

  async function put(task, ref, to) {
    const from = mover(ref)?.closest("[data-list]");
    const key = from?.dataset.list;
    const place = from ? [...from.querySelectorAll(".mover")].findIndex((one) => one.dataset.ref === ref) : 0;
    const answer = await ask("put", { base: offer.base, day: offer.day, ref, to });
    if (!answer) return;
    if (answer.undo) undos.push({ undo: answer.undo, title: task.title });
    if (answer.offer) moves.open = null;
    if (answer.offer) show(answer.offer);
    say(answer.said);
    const left = [...root.querySelectorAll(`[data-list="${key}"] .mover`)];
    const next = nextPlace(place, left.length);
    (next === null ? backButton : left[next]).focus();
  }

  async function back() {
    if (!undos.length) return;
    const { undo } = undos.at(-1);
    const answer = await ask("back", { undo });
    if (!answer) return;
    if (answer.saved) undos.pop();
    if (answer.offer) show(answer.offer);
    say(answer.said);
    if (undos.length) backButton.focus();
    else root.querySelector(".mover")?.focus();
  }

  // The files were changed elsewhere, or the page shows another week.
  channel.listen(({ offer: next }) => {
    if (!next || saving) return;
    const [was, now] = [offer, next].map(({ days: shown, waiting: tasks, shown: is }) => ({ shown, tasks, is }));
    if (same(was, now)) {
      offer = next;
      return;
    }
    const held = root.contains(root.getRootNode().activeElement);
    show(next);
    if (!moves.open || mover(moves.open)) return;
    moves.open = null; // the task whose places were shown has left
    say(_("That task was moved or done elsewhere. The days are as they are now."));
    if (held) root.querySelector(".mover")?.focus();
  });

  root.addEventListener("keydown", (event) => {
    if (event.key !== "Escape" || !moves.open) return;
    event.preventDefault();
    toggle(moves.open);
  });

  show(offer);
  say("");
  return () => channel.close();
}

export default { render };
