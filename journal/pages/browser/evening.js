// The page: an evening or a month on it, one button that saves, and what is said beside it.

import { button, make } from "./elements.js";
import { conflictList } from "./conflicts.js";
import { draftDays, loadDraft, dropDraft, saveDraft } from "./drafts.js";
import { eveningForm } from "./evening_form.js";
import { openChannel } from "./channel.js";
import { monthGrid } from "./month_grid.js";
import { pageHeader } from "./page_header.js";
import { mergeDraft } from "./draft_merge.js";
import { entered, fromOffer, isChanged, same } from "./form_state.js";
import { savesPage } from "./keyboard.js";
import { checkFields, clearProblems, showProblems } from "./problems.js";

function render({ model, el }) {
  const journal = model.get("journal");
  const line = openChannel(model);
  const root = make("main", { class: "sheet" });
  const top = make("div", { class: "opening" });
  const notices = make("div", { class: "notices", "aria-live": "polite" });
  const body = make("div", {});
  const said = make("p", { class: "said", role: "status", "aria-live": "polite" });
  const unplaced = make("ul", { class: "unplaced", role: "alert" });
  const press = button("Save both days", () => save(), { class: "save" });
  const bar = make("div", { class: "bar" }, press, make("div", { class: "answer" }, said, unplaced));
  root.append(top, notices, body, bar);
  el.append(root);

  let evening = null; // { offer, now }, with its form
  let shown = null;
  let filling = null; // the month that is being filled, in place of the evening
  let unsettled = 0;
  let saving = false;

  const dirty = () => (filling ? filling.count() > 0 : evening !== null && isChanged(evening.offer, shown.sheet.now));

  const touched = () => {
    if (dirty()) {
      if (!filling) saveDraft(journal, evening.offer, shown.sheet.now);
      say(filling ? `${filling.count()} ${filling.count() === 1 ? "mark is" : "marks are"} not saved yet.` : "Not saved yet.");
    } else {
      if (!filling) dropDraft(journal, evening.offer.day);
      say("");
    }
  };

  const say = (text, list = []) => {
    said.textContent = text;
    unplaced.replaceChildren(...list.map((one) => make("li", { text: one })));
  };

  const notice = (text, ...presses) => {
    const made = make("section", { class: "notice", "aria-label": "Note" }, make("p", { text }), make("div", { class: "presses" }, presses));
    notices.append(made);
    return made;
  };

  // Draws an evening; what was open stays open, and the focus stays where it was.
  const show = (offer, now) => {
    const focused = root.getRootNode().activeElement;
    const name = focused && body.contains(focused) ? focused.getAttribute("aria-label") || focused.id : null;
    const open = [...body.querySelectorAll("details[open] > summary")].map((summary) => summary.textContent.replace(/\d+/g, ""));
    evening = { offer };
    filling = null;
    shown = eveningForm({ offer, now }, touched, line.ask);
    body.replaceChildren(shown.element);
    for (const summary of body.querySelectorAll("details > summary")) {
      if (open.includes(summary.textContent.replace(/\d+/g, ""))) summary.parentElement.open = true;
    }
    if (name) [...body.querySelectorAll("[aria-label]")].find((one) => one.getAttribute("aria-label") === name)?.focus({ preventScroll: true });
    press.textContent = "Save both days";
    head();
    if (isChanged(offer, now)) shown.sheet.refit();
    touched();
  };

  const head = () => top.replaceChildren(...pageHeader({ offer: evening.offer, filling, openDay, openMonth }));

  const openDay = async (day) => {
    say("Opening…");
    const { offer, failed, silent } = await line.ask("day", { day });
    if (!offer) return say(failed || (silent ? SILENT : "That day cannot be opened."));
    notices.replaceChildren();
    unsettled = 0;
    begin(offer);
    return null;
  };

  // An evening begins with what was typed for that day and not saved, if there is such.
  const begin = (offer) => {
    let carried = null;
    try {
      const draft = loadDraft(journal, offer.day);
      if (draft?.now.fields && isChanged(draft.offer, draft.now)) carried = mergeDraft(draft.offer, offer, draft.now);
    } catch {
      dropDraft(journal, offer.day); // one that another version of this page kept
    }
    if (!carried) return show(offer, fromOffer(offer));
    settle(carried, offer);
    const back = notice("What you had typed and not saved is here again.", button("Start from the files instead", () => {
      dropDraft(journal, offer.day);
      back.remove();
      unsettled = 0;
      notices.replaceChildren();
      show(offer, fromOffer(offer));
    }));
    return null;
  };

  // Shows what was carried over to a newer offer, and asks where both sides changed the same.
  const settle = ({ now, conflicts: found }, offer) => {
    root.querySelectorAll(".news").forEach((one) => one.remove());
    show(offer, now);
    unsettled = found.length;
    if (!found.length) return;
    const asked = conflictList(found, offer, (left) => {
      unsettled = left;
      show(offer, shown.sheet.now);
      if (left) return;
      asked.remove();
      say("Settled. Save when you are ready.");
      press.focus();
    });
    for (const one of found) {
      const { take } = one;
      one.take = (value) => {
        take(value);
        Object.assign(shown.sheet.now, now);
      };
    }
    notices.prepend(asked);
    asked.focus();
  };

  const openMonth = async (key, changed = {}) => {
    say("Opening…");
    const { offer, failed, silent } = await line.ask("month", { month: key });
    if (!offer) return say(failed || (silent ? SILENT : "That month cannot be opened."));
    notices.replaceChildren();
    unsettled = 0;
    filling = { ...monthGrid(offer, touched, changed), month: offer.month };
    body.replaceChildren(make("section", { class: "card" }, filling.element));
    press.textContent = "Save the month";
    head();
    touched();
    return null;
  };

  const save = async () => {
    if (saving) return;
    if (unsettled) return say(`Not saved: choose first what stays, in ${unsettled === 1 ? "one place" : `${unsettled} places`} above.`);
    saving = true;
    try {
      await (filling ? saveMonth() : saveEvening());
    } finally {
      saving = false;
    }
  };

  const saveEvening = async () => {
    const { sheet } = shown;
    const { offer } = evening;
    clearProblems(body);
    shown.check();
    const seen = checkFields(body, offer.day);
    if (seen.count) return refused(seen);
    const sent = JSON.parse(JSON.stringify(sheet.now));
    say("Saving…");
    const { answer, offer: after, failed, silent } = await line.ask("save", entered(offer, sheet.now));
    if (silent) return say(SILENT);
    if (!answer) return say(failed || SILENT);
    if (answer.saved) {
      dropDraft(journal, offer.day);
      notices.replaceChildren();
      if (after) show(after, same(sent, sheet.now) ? fromOffer(after) : mergeDraft(offer, after, sheet.now).now);
      return say(answer.said);
    }
    if (answer.conflict && after) {
      settle(mergeDraft(offer, after, sheet.now), after);
      return say(unsettled ? "Not saved: the files were changed elsewhere. Choose what stays, then save." : "The files were changed elsewhere meanwhile. Look it over, then save again.");
    }
    const { unplaced: rest, first } = showProblems(body, answer.problems, sheet.now, offer.categories);
    return refused({ count: answer.problems.length, first }, rest);
  };

  const refused = ({ count, first }, rest = []) => {
    first?.focus();
    say(`Not saved: ${count === 1 ? "one place needs" : `${count} places need`} mending. Everything you typed stays here.`, rest);
  };

  const saveMonth = async () => {
    if (!filling.count()) return say("Nothing is changed in this month.");
    say("Saving…");
    const { answer, failed, silent } = await line.ask("save_month", filling.entered());
    if (silent || !answer) return say(failed || SILENT);
    if (answer.saved) {
      await openMonth(filling.month);
      return say(answer.said);
    }
    if (answer.conflict.length) return monthDiffers(answer.conflict);
    const list = answer.problems.map((one) => one.message);
    return say(`Not all of the month is saved. ${answer.said} What you marked stays here.`, list);
  };

  // Days that were changed elsewhere: the month as it is now, with the marks put here on it, and both where they differ.
  const monthDiffers = async (conflict) => {
    const { changed } = filling;
    const names = Object.fromEntries(filling.offer.habits.map((habit) => [habit.key, habit.name]));
    await openMonth(filling.month, changed);
    const found = conflict.map(({ field, yours, theirs }) => {
      const [, habit, day] = field.split(".");
      return { field, name: `${names[habit] || habit}, ${day}`, yours, theirs, take: () => { delete changed[habit]?.[day]; } };
    });
    unsettled = found.length;
    const asked = conflictList(found, evening.offer, (left) => {
      unsettled = left;
      if (left) return;
      asked.remove();
      filling = { ...monthGrid(filling.offer, touched, changed), month: filling.month };
      body.replaceChildren(make("section", { class: "card" }, filling.element));
      touched();
      press.focus();
    });
    notices.prepend(asked);
    asked.focus();
    say("Not saved: the files were changed elsewhere. Choose what stays, then save.");
  };

  // The files were changed from outside: an untouched page follows at once, a touched one asks.
  line.listen(({ offer }) => {
    if (!offer || filling || !evening || offer.day !== evening.offer.day || saving || unsettled) return;
    if (!dirty()) {
      show(offer, fromOffer(offer));
      return say("The files were changed elsewhere; this is how they are now.");
    }
    root.querySelectorAll(".news").forEach((one) => one.remove());
    const made = notice("The files of these days were changed elsewhere meanwhile. What you typed stays.", button("Show what changed", () => {
      made.remove();
      settle(mergeDraft(evening.offer, offer, shown.sheet.now), offer);
    }));
    made.classList.add("news");
    return null;
  });

  const leaving = (event) => {
    if (dirty()) event.preventDefault();
  };
  window.addEventListener("beforeunload", leaving);
  root.addEventListener("keydown", (event) => {
    if (!savesPage(event)) return;
    event.preventDefault();
    save();
  });

  begin(model.get("offer"));
  const others = draftDays(journal).filter((day) => day !== evening.offer.day);
  if (others.length) {
    notice(`There is something typed and not saved for ${others.join(", ")}.`, others.map((day) => button(`Open ${day}`, () => openDay(day))));
  }
  return () => {
    line.close();
    window.removeEventListener("beforeunload", leaving);
  };
}

const SILENT = "Not saved: the journal does not answer. What you typed stays in this window; see that the command still runs, then save again.";

export default { render };
