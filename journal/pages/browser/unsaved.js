// What is typed into a form and not saved: kept as a draft, there again after a reload, and merged with newer offers.

import { conflictList } from "./conflicts.js";
import { dropDraft, loadDraft, saveDraft } from "./drafts.js";
import { button, make } from "./elements.js";
import { same } from "./form_state.js";
import { N_, _, _n } from "./texts.js";

export const unsavedFor = (names) => _("What you typed for {names} is not saved yet.", { names: names.join(", ") });
export const CHANGED = N_("The files were changed elsewhere; this is how they are now.");
export const LOOK_OVER = N_("The files were changed elsewhere meanwhile. Look it over, then save again.");
export const CHOOSE = N_("Not saved: the files were changed elsewhere. Choose what stays, then save.");

// `of` are the functions of a kind of form: draftName(offer), fromOffer(offer), isChanged(offer, now) and
// merge(old, offer, now); mergeSaved(old, offer, now, sent) where a draft may be older than a save; and left(old, offer), a
// sentence about what of a draft is not taken over. `draw` renders an offer with the typed values, which the form changes in place.
export function unsaved({ journal, notices, bar, of, draw }) {
  let offer = null;
  let now = null;
  let begun = null; // the offer that a draft is merged from
  let open = 0; // conflicts that are not settled

  const dirty = () => offer !== null && of.isChanged(offer, now);

  const show = (shown, typed, from = shown) => {
    [offer, now, begun] = [shown, typed, from];
    draw(offer, now);
  };

  const clear = () => {
    notices.replaceChildren();
    open = 0;
  };

  const notice = (text, ...presses) => {
    const element = make("section", { class: "notice", "aria-label": _("Note") }, make("p", { text }), make("div", { class: "presses" }, presses));
    notices.append(element);
    return element;
  };

  const draftOf = (offered) => {
    const name = of.draftName(offered);
    try {
      const draft = loadDraft(journal, name);
      if (!draft || !of.isChanged(draft.offer, draft.now)) return null;
      const merged = draft.sent ? { now: of.mergeSaved(draft.offer, offered, draft.now, draft.sent), conflicts: [] } : of.merge(draft.offer, offered, draft.now);
      return of.isChanged(offered, merged.now) ? { merged, begun: draft.offer } : null;
    } catch {
      dropDraft(journal, name); // the draft is from another version of this page
      return null;
    }
  };

  // Shows an offer, with the draft of it if there is one.
  const begin = (offered) => {
    const draft = offered.closed ? null : draftOf(offered);
    if (!draft) {
      show(offered, of.fromOffer(offered));
      return;
    }
    settle(draft.merged, offered, draft.begun);
    notice(_("What you had typed and not saved is here again.{left}", { left: of.left?.(draft.begun, offered) ?? "" }), button(_("Start from the files instead"), () => {
      dropDraft(journal, of.draftName(offered));
      clear();
      show(offered, of.fromOffer(offered));
    }));
  };

  // Shows entered values merged with a newer offer, and asks about conflicts. Until all are settled, the draft belongs to
  // the offer that the values were begun from, so a reload asks again.
  const settle = (merged, offered, from) => {
    const { conflicts } = merged;
    dropNews();
    open = conflicts.length;
    show(offered, merged.now, open ? from : offered);
    if (open) {
      askAbout(conflicts, offered, (left) => {
        show(offered, merged.now, left ? from : offered);
        if (!left) bar.say(_("Settled. Save when you are ready."));
      });
    }
  };

  // Asks about conflicts. Nothing can be saved until each is settled.
  const askAbout = (conflicts, offered, settled) => {
    open = conflicts.length;
    const question = conflictList(conflicts, offered, (left) => {
      open = left;
      settled(left);
      if (left) return;
      question.remove();
      bar.press.focus();
    });
    notices.prepend(question);
    question.focus();
  };

  const dropNews = () => notices.querySelectorAll(".news").forEach((element) => element.remove());

  // The files were changed elsewhere: an unchanged form shows the new offer at once, a changed one asks.
  const news = (offered) => {
    if (!dirty()) {
      show(offered, of.fromOffer(offered));
      bar.say(_(CHANGED));
      return;
    }
    dropNews();
    const element = offered.closed
      ? notice(_("{closed} What you typed stays here.", { closed: offered.closed }))
      : notice(_("The files were changed elsewhere meanwhile. What you typed stays."), button(_("Show what changed"), () => {
        element.remove();
        settle(of.merge(offer, offered, now), offered, offer);
      }));
    element.classList.add("news");
  };

  return {
    begin, show, settle, askAbout, news, notice, clear, dirty,
    get offer() { return offer; },
    get now() { return now; },
    get open() { return open; },
    // The same content, in another version of its files.
    replace(offered) {
      [offer, begun] = [offered, offered];
    },
    // Keeps the draft after a change, beside what was `sent` and is saved by now.
    keep(sent = null) {
      if (sent ? !same(sent, now) : dirty() || open) saveDraft(journal, { ...begun, day: of.draftName(offer) }, now, undefined, sent);
      else dropDraft(journal, of.draftName(offer));
    },
    // Why nothing can be saved yet, or null.
    waits: () => (open ? _n("Not saved: choose first what stays, in one place above.", "Not saved: choose first what stays, in {count} places above.", open) : null),
  };
}
