// The review of a week, month or year: its fields, one button that saves, and what is said beside it.

import { openChannel } from "./channel.js";
import { conflictList } from "./conflicts.js";
import { draftNames, dropDraft, loadDraft, saveDraft } from "./drafts.js";
import { button, card, make } from "./elements.js";
import { same } from "./form_state.js";
import { savesPage } from "./keyboard.js";
import { clearProblems, showProblems } from "./problems.js";
import { reviewFields } from "./review_fields.js";
import { mergeReview } from "./review_merge.js";
import { enteredReview, fromReviewOffer, isReviewChanged, reviewPlace, showsSame } from "./review_state.js";

const SILENT = "Not saved: the journal does not answer. What you typed stays in this window; see that the command still runs, then save again.";
const DRAFT = "review "; // before the period, so that no evening takes it for one of its own

function render({ model, el }) {
  const journal = model.get("journal");
  const line = openChannel(model);
  const root = make("div", { class: "sheet review" });
  const note = make("p", { class: "hint" });
  const notices = make("div", { class: "notices", "aria-live": "polite" });
  const body = make("div", {});
  const said = make("p", { class: "said", role: "status", "aria-live": "polite" });
  const unplaced = make("ul", { class: "unplaced", role: "alert" });
  const press = button("", () => save(), { class: "save" });
  const bar = make("div", { class: "bar" }, press, make("div", { class: "answer" }, said, unplaced));
  root.append(card("Looking back", "looking-back", note, notices, body, bar));
  el.append(root);

  let review = null; // { offer, now, begun }: `begun` is the offer that a draft is merged from
  let unsettled = 0;
  let saving = false;
  let waiting = null; // an offer that came while a save was under way

  const dirty = () => isReviewChanged(review.offer, review.now);
  const draftName = () => DRAFT + review.offer.period;

  const say = (text, list = []) => {
    said.textContent = text;
    unplaced.replaceChildren(...list.map((one) => make("li", { text: one })));
  };

  const touched = () => {
    if (dirty() || unsettled) saveDraft(journal, { ...review.begun, day: draftName() }, review.now);
    else dropDraft(journal, draftName());
    say(dirty() ? "Not saved yet." : "");
  };

  const notice = (text, ...presses) => {
    const made = make("section", { class: "notice", "aria-label": "Note" }, make("p", { text }), make("div", { class: "presses" }, presses));
    notices.append(made);
    return made;
  };

  // Draws a review. What was open stays open, and the focus stays in its field.
  const show = (offer, now, begun = offer) => {
    const focused = root.getRootNode().activeElement;
    const field = focused && body.contains(focused) ? focused.getAttribute("data-field") || focused.getAttribute("aria-label") : null;
    const open = body.querySelector("details")?.open ?? false;
    review = { offer, now, begun };
    bar.hidden = Boolean(offer.closed);
    press.textContent = `Save the ${offer.kind}`;
    note.textContent = offer.closed ? "" : `Written to ${offer.path}.`;
    note.hidden = Boolean(offer.closed);
    if (offer.closed) {
      body.replaceChildren(make("p", { class: "quiet closed", text: offer.closed }));
      return say("");
    }
    const problems = offer.problems.map((text) => make("li", { text }));
    body.replaceChildren(problems.length ? make("ul", { class: "problems-told" }, problems) : "", reviewFields({ offer, now, changed: touched }));
    body.querySelector("details").open = open;
    if (field) [...body.querySelectorAll("textarea, input")].find((one) => [one.getAttribute("data-field"), one.getAttribute("aria-label")].includes(field))?.focus({ preventScroll: true });
    return touched();
  };

  // A period begins with what was typed for it and not saved, if there is such.
  const begin = (offer) => {
    notices.replaceChildren();
    unsettled = 0;
    const others = draftNames(journal).filter((name) => name.startsWith(DRAFT) && name !== DRAFT + offer.period).map((name) => name.slice(DRAFT.length));
    if (others.length) notice(`There is something typed and not saved for ${others.join(", ")}. Open it to go on.`);
    let draft = null;
    let carried = null;
    try {
      draft = loadDraft(journal, DRAFT + offer.period);
      if (draft && !offer.closed && isReviewChanged(draft.offer, draft.now)) carried = mergeReview(draft.offer, offer, draft.now);
    } catch {
      dropDraft(journal, DRAFT + offer.period); // the draft is from another version of this page
    }
    if (!carried || !isReviewChanged(offer, carried.now)) return show(offer, fromReviewOffer(offer));
    settle(carried, offer, draft.offer);
    const back = notice("What you had typed and not saved is here again.", button("Start from the file instead", () => {
      back.remove();
      notices.replaceChildren();
      unsettled = 0;
      show(offer, fromReviewOffer(offer));
    }));
    return null;
  };

  // Shows entered values merged with a newer offer, and asks about conflicts. Until all are settled, the draft belongs to
  // the offer that the values were begun from, so a reload asks again.
  const settle = ({ now, conflicts }, offer, begun) => {
    notices.querySelectorAll(".news").forEach((one) => one.remove());
    unsettled = conflicts.length;
    show(offer, now, conflicts.length ? begun : offer);
    if (!conflicts.length) return;
    const asked = conflictList(conflicts, offer, (left) => {
      unsettled = left;
      show(offer, now, left ? begun : offer);
      if (left) return;
      asked.remove();
      say("Settled. Save when you are ready.");
      press.focus();
    });
    notices.prepend(asked);
    asked.focus();
  };

  const save = async () => {
    if (saving || review.offer.closed) return;
    if (unsettled) {
      say(`Not saved: choose first what stays, in ${unsettled === 1 ? "one place" : `${unsettled} places`} above.`);
      return;
    }
    saving = true;
    try {
      await send();
    } finally {
      saving = false;
      const next = waiting;
      waiting = null;
      if (next && next.period !== review.offer.period) begin(next);
    }
  };

  const send = async () => {
    clearProblems(body);
    const { offer, now } = review;
    const sent = JSON.parse(JSON.stringify(now));
    say("Saving…");
    const { answer, offer: after, failed, silent } = await line.ask("save", enteredReview(offer, now));
    if (silent || !answer) return say(failed || SILENT);
    if (answer.saved) {
      notices.replaceChildren();
      show(after, same(sent, now) ? fromReviewOffer(after) : mergeReview(offer, after, now).now);
      return say(answer.said);
    }
    if (answer.conflict.length && after && !after.closed) {
      settle(mergeReview(offer, after, now), after, offer);
      return say(unsettled ? "Not saved: the files were changed elsewhere. Choose what stays, then save." : "The files were changed elsewhere meanwhile. Look it over, then save again.");
    }
    const placed = answer.problems.map((one) => ({ ...one, field: reviewPlace(one.field, now) }));
    const { unplaced: rest, first } = showProblems(body, placed, { ...now, gratitude: [], actual: [], planned: [] }, []);
    first?.focus();
    const count = answer.problems.length;
    return say(`Not saved: ${count === 1 ? "one place needs" : `${count} places need`} mending. Everything you typed stays here.`, after?.closed ? [...rest, after.closed] : rest);
  };

  // Another period is looked at, or the files were changed from outside: an untouched review follows, a touched one asks.
  line.listen(({ offer }) => {
    if (!offer) return;
    if (saving) waiting = offer;
    else if (offer.period !== review.offer.period) begin(offer);
    else if (unsettled) return;
    else if (showsSame(review.offer, offer)) review = { ...review, offer, begun: offer };
    else if (!dirty()) {
      show(offer, fromReviewOffer(offer));
      say("The files were changed elsewhere; this is how they are now.");
    } else tellOfNews(offer);
  });

  const tellOfNews = (offer) => {
    notices.querySelectorAll(".news").forEach((one) => one.remove());
    const made = offer.closed
      ? notice(`${offer.closed} What you typed stays here.`)
      : notice("The files were changed elsewhere meanwhile. What you typed stays.", button("Show what changed", () => {
        made.remove();
        settle(mergeReview(review.offer, offer, review.now), offer, review.offer);
      }));
    made.classList.add("news");
  };

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
  return () => {
    line.close();
    window.removeEventListener("beforeunload", leaving);
  };
}

export default { render };
