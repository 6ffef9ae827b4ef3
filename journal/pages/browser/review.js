// The review of a week, month or year: its fields, one button that saves, and what is said beside it.

import { busyHands } from "./busy_hands.js";
import { openChannel } from "./channel.js";
import { draftNames } from "./drafts.js";
import { card, make } from "./elements.js";
import { same } from "./form_state.js";
import { keepingFocus } from "./kept_focus.js";
import { clearProblems, showProblems } from "./problems.js";
import { reviewFields } from "./review_fields.js";
import { mergeReview } from "./review_merge.js";
import { enteredReview, fromReviewOffer, isReviewChanged, reviewPlace, showsSame } from "./review_state.js";
import { saveBar, SILENT } from "./save_bar.js";
import { takeBack } from "./take_back.js";
import { CHOOSE, LOOK_OVER, unsaved, unsavedFor } from "./unsaved.js";
import { _, N_ } from "./texts.js";

const DRAFT = "review "; // before the period, so that no evening takes it for one of its own

const SAVE = { week: N_("Save the week"), month: N_("Save the month"), year: N_("Save the year") };

function render({ model, el }) {
  const journal = model.get("journal");
  const line = openChannel(model);
  const root = make("div", { class: "sheet review" });
  const note = make("p", { class: "hint" });
  const notices = make("div", { class: "notices", "aria-live": "polite" });
  const body = make("div", {});
  const bar = saveBar({ root, save: () => save(), dirty: () => work.dirty() });
  const { say } = bar;
  const back = takeBack({ say, notices, rest: () => bar.press });
  bar.beside(back.press);
  root.append(card(_("Looking back"), "looking-back", notices, body, bar.element, note));
  el.append(root);
  const hands = busyHands(body);

  let saving = false;
  let waiting = null; // an offer that came while a save was under way

  const touched = () => {
    work.keep();
    say(work.dirty() ? _("Not saved yet.") : "");
  };

  // Draws a review. What was open stays open, and the focus stays in its field.
  const draw = (offer, now) => {
    const open = body.querySelector("details")?.open ?? false;
    bar.element.hidden = Boolean(offer.closed);
    bar.press.textContent = _(SAVE[offer.kind]);
    note.textContent = offer.closed ? "" : _("Written to {path}.", { path: offer.path });
    note.hidden = Boolean(offer.closed);
    if (offer.closed) {
      body.replaceChildren(make("p", { class: "quiet closed", text: offer.closed }));
      return say("");
    }
    const problems = offer.problems.map((text) => make("li", { text }));
    keepingFocus(root, body, () => {
      body.replaceChildren(problems.length ? make("ul", { class: "problems-told" }, problems) : "", reviewFields({ offer, now, changed: touched }));
      body.querySelector("details").open = open;
    });
    return touched();
  };

  const of = { draftName: (offer) => DRAFT + offer.period, fromOffer: fromReviewOffer, isChanged: isReviewChanged, merge: mergeReview };
  const work = unsaved({ journal, notices, bar, of, draw });

  const begin = (offer) => {
    work.clear();
    back.forget();
    const others = draftNames(journal).filter((name) => name.startsWith(DRAFT) && name !== DRAFT + offer.period).map((name) => name.slice(DRAFT.length));
    if (others.length) work.notice(_("{unsaved} Open it to go on.", { unsaved: unsavedFor(others) }));
    work.begin(offer);
  };

  const save = async () => {
    if (saving || work.offer.closed) return;
    const wait = work.waits();
    if (wait) {
      say(wait);
      return;
    }
    saving = true;
    try {
      await send();
    } finally {
      saving = false;
      const next = waiting;
      waiting = null;
      if (next && next.period !== work.offer.period) begin(next);
    }
  };

  // Shows the files after a save was taken back. What was typed since stays.
  const takenBack = (after) => {
    work.clear();
    if (work.dirty() && !after.closed) work.settle(mergeReview(work.offer, after, work.now), after, work.offer);
    else work.show(after, fromReviewOffer(after));
  };

  const send = async () => {
    clearProblems(body);
    const { offer, now } = work;
    const sent = JSON.parse(JSON.stringify(now));
    say(_("Saving…"));
    const { answer, offer: after, failed, silent } = await line.ask("save", enteredReview(offer, now));
    if (silent || !answer) return say(failed || _(SILENT));
    if (answer.saved) {
      back.after(answer, (of) => line.ask("back", { period: offer.period, ...of }), takenBack);
      work.clear();
      say(answer.said);
      await hands.free();
      if (after) work.show(after, same(sent, now) ? fromReviewOffer(after) : mergeReview(offer, after, now).now);
      return after && work.dirty() ? null : say(answer.said); // what was typed since is not saved yet, and that is said
    }
    if (answer.conflict.length && after && !after.closed) {
      work.settle(mergeReview(offer, after, now), after, offer);
      if (answer.lost) work.notice(answer.lost);
      return say(work.open ? _(CHOOSE) : _(LOOK_OVER));
    }
    const placed = answer.problems.map((one) => ({ ...one, field: reviewPlace(one.field, now) }));
    const { unplaced, first } = showProblems(body, placed, { ...now, gratitude: [], actual: [], planned: [] }, []);
    return bar.refused({ count: answer.problems.length, first }, after?.closed ? [...unplaced, after.closed] : unplaced);
  };

  // Another period is looked at, or the files were changed from outside: an untouched review follows, a touched one asks.
  line.listen(({ offer }) => {
    if (!offer) return;
    if (saving) waiting = offer;
    else if (offer.period !== work.offer.period) begin(offer);
    else if (work.open) return;
    else if (showsSame(work.offer, offer)) work.replace(offer);
    else work.news(offer);
  });

  begin(model.get("offer"));
  return () => {
    line.close();
    bar.close();
    hands.close();
  };
}

export default { render };
