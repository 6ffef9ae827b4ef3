// The page: the form of an evening or a month, the save button, and its status.

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
  const channel = openChannel(model);
  const root = make("main", { class: "sheet" });
  const top = make("div", { class: "opening" });
  const notices = make("div", { class: "notices", "aria-live": "polite" });
  const body = make("div", {});
  const status = make("p", { class: "said", role: "status", "aria-live": "polite" });
  const unplaced = make("ul", { class: "unplaced", role: "alert" });
  const saveButton = button("Save both days", () => save(), { class: "save" });
  const bar = make("div", { class: "bar" }, saveButton, make("div", { class: "answer" }, status, unplaced));
  root.append(top, notices, body, bar);
  el.append(root);

  let evening = null; // { offer, begun }: `begun` is the offer that a draft is merged from
  let shown = null;
  let filling = null; // the month that is shown in place of the evening
  let unsettled = 0;
  let saving = false;

  const dirty = () => (filling ? filling.count() > 0 : evening !== null && isChanged(evening.offer, shown.sheet.now));

  const touched = () => {
    if (dirty()) {
      if (!filling) saveDraft(journal, evening.begun, shown.sheet.now);
      say(filling ? `${filling.count()} ${filling.count() === 1 ? "mark is" : "marks are"} not saved yet.` : "Not saved yet.");
    } else {
      if (!filling) dropDraft(journal, evening.offer.day);
      say("");
    }
  };

  const say = (text, list = []) => {
    status.textContent = text;
    unplaced.replaceChildren(...list.map((message) => make("li", { text: message })));
  };

  const notice = (text, ...presses) => {
    const element = make("section", { class: "notice", "aria-label": "Note" }, make("p", { text }), make("div", { class: "presses" }, presses));
    notices.append(element);
    return element;
  };

  // Renders an evening. Open sections stay open, and the focus stays.
  const show = (offer, now, begun = offer) => {
    const focused = root.getRootNode().activeElement;
    const name = focused && body.contains(focused) ? focused.getAttribute("aria-label") || focused.id : null;
    const open = [...body.querySelectorAll("details[open] > summary")].map((summary) => summary.textContent.replace(/\d+/g, ""));
    evening = { offer, begun };
    filling = null;
    shown = eveningForm({ offer, now }, touched, channel.ask);
    body.replaceChildren(shown.element);
    for (const summary of body.querySelectorAll("details > summary")) {
      if (open.includes(summary.textContent.replace(/\d+/g, ""))) summary.parentElement.open = true;
    }
    if (name) [...body.querySelectorAll("[aria-label]")].find((element) => element.getAttribute("aria-label") === name)?.focus({ preventScroll: true });
    saveButton.textContent = "Save both days";
    head();
    if (isChanged(offer, now)) shown.sheet.refit();
    touched();
  };

  const head = () => top.replaceChildren(...pageHeader({ offer: evening.offer, filling, openDay, openMonth }));

  const openDay = async (day) => {
    say("Opening…");
    const { offer, failed, silent } = await channel.ask("day", { day });
    if (!offer) return say(failed || (silent ? SILENT : "That day cannot be opened."));
    notices.replaceChildren();
    unsettled = 0;
    begin(offer);
    return null;
  };

  // Starts an evening with the unsaved draft of that day, if there is one.
  const begin = (offer) => {
    let draft = null;
    let merged = null;
    try {
      draft = loadDraft(journal, offer.day);
      if (draft?.now.fields && isChanged(draft.offer, draft.now)) merged = mergeDraft(draft.offer, offer, draft.now);
    } catch {
      dropDraft(journal, offer.day); // the draft is from another version of this page
    }
    if (!merged) return show(offer, fromOffer(offer));
    settle(merged, offer, draft.offer);
    const restored = notice("What you had typed and not saved is here again.", button("Start from the files instead", () => {
      dropDraft(journal, offer.day);
      restored.remove();
      unsettled = 0;
      notices.replaceChildren();
      show(offer, fromOffer(offer));
    }));
    return null;
  };

  // Shows entered values merged with a newer offer, and asks about conflicts. Until all are settled, the draft belongs to
  // the offer that the values were begun from, so a reload asks again.
  const settle = ({ now, conflicts }, offer, begun) => {
    root.querySelectorAll(".news").forEach((element) => element.remove());
    unsettled = conflicts.length;
    show(offer, now, conflicts.length ? begun : offer);
    if (!conflicts.length) return;
    const question = conflictList(conflicts, offer, (left) => {
      unsettled = left;
      show(offer, shown.sheet.now, left ? begun : offer);
      if (left) return;
      question.remove();
      say("Settled. Save when you are ready.");
      saveButton.focus();
    });
    for (const conflict of conflicts) {
      const { take } = conflict;
      conflict.take = (value) => {
        take(value);
        Object.assign(shown.sheet.now, now);
      };
    }
    notices.prepend(question);
    question.focus();
  };

  const openMonth = async (key, changed = {}) => {
    say("Opening…");
    const { offer, failed, silent } = await channel.ask("month", { month: key });
    if (!offer) return say(failed || (silent ? SILENT : "That month cannot be opened."));
    notices.replaceChildren();
    unsettled = 0;
    filling = { ...monthGrid(offer, touched, changed), month: offer.month };
    body.replaceChildren(make("section", { class: "card" }, filling.element));
    saveButton.textContent = "Save the month";
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
    const wrong = checkFields(body, offer.day);
    if (wrong.count) return refused(wrong);
    const sent = JSON.parse(JSON.stringify(sheet.now));
    say("Saving…");
    const { answer, offer: after, failed, silent } = await channel.ask("save", entered(offer, sheet.now));
    if (silent) return say(SILENT);
    if (!answer) return say(failed || SILENT);
    if (answer.saved) {
      dropDraft(journal, offer.day);
      notices.replaceChildren();
      if (after) show(after, same(sent, sheet.now) ? fromOffer(after) : mergeDraft(offer, after, sheet.now).now);
      return say(answer.said);
    }
    if (answer.conflict && after) {
      settle(mergeDraft(offer, after, sheet.now), after, offer);
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
    const { answer, failed, silent } = await channel.ask("save_month", filling.entered());
    if (silent || !answer) return say(failed || SILENT);
    if (answer.saved) {
      await openMonth(filling.month);
      return say(answer.said);
    }
    if (answer.conflict.length) return monthDiffers(answer.conflict);
    const list = answer.problems.map((problem) => problem.message);
    return say(`Not all of the month is saved. ${answer.said} What you marked stays here.`, list);
  };

  // After a conflict: shows the current month with the marks entered here, and both values where they differ.
  const monthDiffers = async (conflict) => {
    const { changed } = filling;
    const names = Object.fromEntries(filling.offer.habits.map((habit) => [habit.key, habit.name]));
    await openMonth(filling.month, changed);
    const conflicts = conflict.map(({ field, yours, theirs }) => {
      const [, habit, day] = field.split(".");
      return { field, name: `${names[habit] || habit}, ${day}`, yours, theirs, take: () => { delete changed[habit]?.[day]; } };
    });
    unsettled = conflicts.length;
    const question = conflictList(conflicts, evening.offer, (left) => {
      unsettled = left;
      if (left) return;
      question.remove();
      filling = { ...monthGrid(filling.offer, touched, changed), month: filling.month };
      body.replaceChildren(make("section", { class: "card" }, filling.element));
      touched();
      saveButton.focus();
    });
    notices.prepend(question);
    question.focus();
    say("Not saved: the files were changed elsewhere. Choose what stays, then save.");
  };

  // The files were changed elsewhere: an unchanged page shows the new offer at once, a changed one asks.
  channel.listen(({ offer }) => {
    if (!offer || filling || !evening || offer.day !== evening.offer.day || saving || unsettled) return;
    if (!dirty()) {
      show(offer, fromOffer(offer));
      return say("The files were changed elsewhere; this is how they are now.");
    }
    root.querySelectorAll(".news").forEach((element) => element.remove());
    const news = notice("The files of these days were changed elsewhere meanwhile. What you typed stays.", button("Show what changed", () => {
      news.remove();
      settle(mergeDraft(evening.offer, offer, shown.sheet.now), offer, evening.offer);
    }));
    news.classList.add("news");
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
    notice(`What you typed for ${others.join(", ")} is not saved yet.`, others.map((day) => button(`Open ${day}`, () => openDay(day))));
  }
  return () => {
    channel.close();
    window.removeEventListener("beforeunload", leaving);
  };
}

const SILENT = "Not saved: the journal does not answer. What you typed stays in this window; see that the command still runs, then save again.";

export default { render };
