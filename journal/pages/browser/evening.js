// The page: the form of an evening or a month, and its save bar.

import { busyHands } from "./busy_hands.js";
import { button, make } from "./elements.js";
import { cardKeys } from "./card_keys.js";
import { draftDays } from "./drafts.js";
import { eveningForm } from "./evening_form.js";
import { openChannel } from "./channel.js";
import { keepingFocus } from "./kept_focus.js";
import { monthPage } from "./month_page.js";
import { comingNotice, pageHeader } from "./page_header.js";
import { mergeDraft, withSettings } from "./draft_merge.js";
import { entered, fromOffer, isChanged, same, withLines } from "./form_state.js";
import { checkFields, clearProblems, showProblems } from "./problems.js";
import { takeBack } from "./take_back.js";
import { mergeSaved } from "./saved_merge.js";
import { saveBar, SILENT } from "./save_bar.js";
import { CHOOSE, LOOK_OVER, unsaved, unsavedFor } from "./unsaved.js";
import { _, _n } from "./texts.js";

function render({ model, el }) {
  const journal = model.get("journal");
  const channel = openChannel(model);
  const root = make("main", { class: "sheet" });
  const top = make("div", { class: "opening" });
  const notices = make("div", { class: "notices", "aria-live": "polite" });
  const body = make("div", {});

  let shown = null;
  let filling = null; // the month that is shown in place of the evening
  let saving = false;
  let pressed = false; // once more, while a save is under way
  const sought = { text: "" }; // in the tasks without a day
  let onDisk = null; // what is saved, until the files are shown as they are since

  const dirty = () => (filling ? filling.count() > 0 : onDisk ? !same(onDisk, work.now) : work.dirty());
  const bar = saveBar({ root, save: () => save(), dirty, alone: true, cards: true });
  const { say } = bar;
  const back = takeBack({ say, notices, rest: () => bar.press });
  bar.beside(back.press);
  root.append(top, notices, body, bar.element);
  el.append(root);
  const endCardKeys = cardKeys(root, bar.press);
  const hands = busyHands(body);

  const touched = () => {
    if (filling) {
      const count = filling.count();
      say(count ? _n("{count} mark is not saved yet.", "{count} marks are not saved yet.", count) : "");
      return;
    }
    work.keep(onDisk);
    bar.press.textContent = work.now.plan ? _("Save both days") : _("Save the day");
    say(dirty() ? _("Not saved yet.") : "");
  };

  // Renders an evening. Open sections stay open, and the focus stays.
  const draw = (offer, now) => {
    const open = [...body.querySelectorAll("details[open] > summary")].map(sectionName);
    [filling, onDisk] = [null, null];
    bar.hasCards(true);
    shown = eveningForm({ offer, now, sought }, touched, channel.ask);
    keepingFocus(root, body, () => {
      body.replaceChildren(shown.element);
      for (const summary of body.querySelectorAll("details > summary")) {
        if (open.includes(sectionName(summary))) summary.parentElement.open = true;
      }
    });
    head();
    if (isChanged(offer, now)) shown.sheet.refit();
    touched();
  };

  const ofFiles = (offer) => (work.offer?.day === offer.day ? withLines(fromOffer(offer), work.now) : fromOffer(offer));
  const work = unsaved({ journal, notices, bar, of: { draftName: (offer) => offer.day, fromOffer: ofFiles, isChanged, merge: mergeDraft, mergeSaved, left: planLeft }, draw });

  const head = () => top.replaceChildren(...pageHeader({ offer: work.offer, filling, openDay, openMonth }));

  const openDay = async (day) => {
    say(_("Opening…"));
    const { offer, failed, silent, coming } = await channel.ask("day", { day });
    if (coming) return comes(coming);
    if (!offer) return say(failed || (silent ? _(SILENT) : _("That day cannot be opened.")));
    work.clear();
    back.forget();
    return work.begin(offer);
  };

  // A coming day has no evening yet: the way to its own page.
  const comes = (coming) => {
    root.querySelectorAll(".coming").forEach((element) => element.remove());
    const element = work.notice("");
    element.classList.add("coming");
    element.querySelector("p").append(...comingNotice(coming));
    say("");
  };

  const openMonth = async (key, changed = {}) => {
    say(_("Opening…"));
    const { offer, failed, silent } = await channel.ask("month", { month: key });
    if (!offer) return say(failed || (silent ? _(SILENT) : _("That month cannot be opened.")));
    work.clear();
    back.forget();
    filling = monthPage({ offer, changed, body, bar, back, touched, work, ask: channel.ask, open: openMonth });
    bar.press.textContent = _("Save the month");
    bar.hasCards(false);
    head();
    return touched();
  };

  const save = async () => {
    if (saving) {
      pressed = true;
      return;
    }
    const wait = work.waits();
    if (wait) return say(wait);
    saving = true;
    try {
      pressed = false;
      await (filling ? filling.save() : saveEvening());
    } finally {
      saving = false;
    }
    if (pressed && onDisk === null && dirty()) await save();
  };

  // The way back from a save of the evening. What was typed since stays.
  const savedEvening = (answer) => back.after(answer, async (of) => {
    saving = true;
    try {
      return await channel.ask("back", { day: work.offer.day, ...of });
    } finally {
      saving = false;
    }
  }, (after) => {
    work.clear();
    if (dirty()) work.settle(mergeDraft(work.offer, after, work.now), after, work.offer);
    else work.show(after, fromOffer(after));
  });

  const saveEvening = async () => {
    const { offer, now } = work;
    clearProblems(body);
    shown.check();
    const wrong = checkFields(body, offer.day);
    if (wrong.count) return bar.refused(wrong);
    const sent = JSON.parse(JSON.stringify(now));
    say(_("Saving…"));
    const { answer, offer: after, failed, silent } = await channel.ask("save", entered(offer, now));
    if (silent || !answer) return say(failed || _(SILENT));
    if (answer.saved || answer.partly) savedEvening(answer);
    if (answer.saved) return showSaved(answer, sent);
    if (answer.partly && after) {
      work.show(after, mergeDraft(offer, after, now).now);
      return say(answer.said, answer.problems.map((problem) => problem.message));
    }
    if (answer.conflict && after) {
      work.settle(mergeDraft(offer, after, now), after, offer);
      if (answer.lost) work.notice(answer.lost);
      return say(work.open ? _(CHOOSE) : _(LOOK_OVER));
    }
    const { unplaced, first } = showProblems(body, answer.problems, now, offer.categories);
    return bar.refused({ count: answer.problems.length, first }, unplaced);
  };

  // Says that all is on disk, then shows the files as they are since. What is typed meanwhile stays.
  const showSaved = async ({ said }, sent) => {
    const { offer, now } = work;
    onDisk = sent;
    work.keep(sent);
    work.clear();
    say(said);
    const { offer: after } = await channel.ask("saved", { day: offer.day });
    await hands.free();
    if (!after || filling || work.offer !== offer) return;
    work.show(after, mergeSaved(offer, after, now, sent));
    if (!dirty()) say(said, [], make("a", { href: `../day/?on=${after.tomorrow.day}`, text: after.tomorrow.day === after.today ? _("The page of today") : _("The page of tomorrow") }));
  };

  channel.listen(({ offer }) => {
    if (!offer || filling || offer.day !== work.offer?.day || saving || work.open) return;
    // If only journal.toml was changed, e.g. by time off, the pages stay as they are, and so does what was typed.
    // The same holds where a page was changed in what the evening does not show, such as its pictures.
    if (same({ ...offer, base: "" }, { ...work.offer, base: "" })) work.show(offer, work.now);
    else if (offer.base === work.offer.base) work.show(offer, withSettings(work.offer, offer, work.now));
    else work.news(offer);
  });

  work.begin(model.get("offer"));
  if (model.get("offer").coming) comes(model.get("offer").coming);
  const others = draftDays(journal).filter((day) => day !== work.offer.day);
  if (others.length) work.notice(unsavedFor(others), ...others.map((day) => button(_("Open {day}", { day }), () => openDay(day))));
  return () => {
    channel.close();
    bar.close();
    hands.close();
    endCardKeys();
  };
}

// The name of a section: that of its kind, or its heading without numbers, which may change.
const sectionName = (summary) => summary.parentElement.dataset.section || summary.textContent.replace(/\d+/g, "");

// What is not taken over from a draft whose next day is over by now.
const planLeft = (old, { tomorrow }) => (old.tomorrow.day === tomorrow.day ? "" : _(" The plan of {day} is not, since that day is over. Tasks that you added go to today.", { day: old.tomorrow.day }));

export default { render };
