// The week's list of tasks to decide on: four choices per task, the save button, and its status.

import { alertPlace, button, card, choice, make, problemSpot, tellAll } from "./elements.js";
import { loadDraft, dropDraft, saveDraft } from "./drafts.js";
import { openChannel } from "./channel.js";
import { number } from "./day_fields.js";
import { same } from "./form_state.js";
import { keepingFocus } from "./kept_focus.js";
import { savesPage } from "./keyboard.js";
import { askBeforeLeaving } from "./leaving.js";
import { clearProblems, showProblems } from "./problems.js";
import { takeBack } from "./take_back.js";
import { DECISIONS, decisionName, decisionPlace, estimateText, fileText, mergeDecisions, pathOf, undatedSummary } from "./triage_merge.js";
import { _, _n, _p, N_, numberText } from "./texts.js";

const DRAFT = "decide"; // not a day, so that no evening takes it for its own draft
const SILENT = N_("Not saved: the journal does not answer. What you chose stays in this window. If the command has ended, run it again; then reload this page and save.");

function render({ model, el }) {
  const journal = model.get("journal");
  const channel = openChannel(model);
  const root = make("div", { class: "sheet undecided" });
  const notices = make("div", { class: "notices", "aria-live": "polite" });
  const list = make("ul", { class: "rows tasks" });
  const undated = make("ul", { class: "rows tasks" });
  const summary = make("summary", {});
  const undatedDetails = make("details", {}, summary, undated);
  const empty = make("p", { class: "empty", text: _("No task was carried twice or left behind.") });
  const more = make("p", { class: "hint" });
  const status = make("p", { class: "said", role: "status", "aria-live": "polite" });
  const unplaced = alertPlace();
  const saveButton = button(_("Save the decisions"), () => save(), { class: "save" });
  const bar = make("div", { class: "bar" }, saveButton, make("div", { class: "answer" }, status, unplaced));
  const back = takeBack({ say: (text, rest) => say(text, rest), notices, rest: () => root.querySelector("input, summary") });
  bar.append(back.press);
  const note = make("p", { class: "hint", text: _("Carried twice or more, or left behind by a day that is over. What you choose is written when you save.") });
  const rest = make("div", {});
  const listCard = card(_("To decide on"), "to-decide", note, notices, list, empty, rest, more, bar);
  el.append(root);

  let offer = model.get("offer");
  let chosen = {}; // by task ref: what, to, title, estimate
  let saving = false;

  const count = () => Object.keys(chosen).length;

  const say = (text, rest = []) => {
    status.textContent = text;
    tellAll(unplaced, rest);
    bar.hidden = !count() && !text && back.press.hidden;
    saveButton.hidden = !count();
  };

  const touched = () => {
    if (count()) saveDraft(journal, { ...offer, day: DRAFT }, chosen);
    else dropDraft(journal, DRAFT);
    say(count() ? _n("{count} decision is not saved yet.", "{count} decisions are not saved yet.", count()) : "");
  };

  const notice = (title, rows) => notices.replaceChildren(
    make("section", { class: "notice", "aria-label": title }, make("p", { text: title }), make("ul", { class: "differing" }, rows)),
  );

  // Renders a list. Open sections stay open, and the focus stays.
  const show = (next) => {
    offer = next;
    keepingFocus(root, root, fill);
  };

  const fill = () => {
    const place = (task) => row(task, chosen, offer, touched);
    list.replaceChildren(...offer.tasks.filter((task) => task.kind !== "undated").map(place));
    undated.replaceChildren(...offer.tasks.filter((task) => task.kind === "undated").map(place));
    empty.hidden = list.children.length > 0;
    rest.replaceChildren(...(undated.children.length ? [undatedDetails] : []));
    undatedDetails.open ||= [...undated.children].some((one) => one.querySelector("input:checked"));
    summary.textContent = undatedSummary(offer.tasks.filter((task) => task.kind === "undated"));
    more.textContent = offer.more ? _n("And {count} more, which was carried less.", "And {count} more, which were carried less.", offer.more) : "";
    more.hidden = !offer.more;
    root.replaceChildren(...(offer.shown && (offer.tasks.length || status.textContent) ? [listCard] : []));
  };

  const mergeChosen = (before, next, given) => {
    const { kept, changed } = mergeDecisions(before, next, given);
    chosen = kept;
    return changed;
  };

  const changedElsewhere = (changed) => {
    if (!changed.length) return;
    notice(_("Changed elsewhere meanwhile. What you chose stays where it still can; look it over before you save."), changed.map(({ task, now, mine }) => both(task.title, decisionName(mine.what), now ? [now.title, now.estimate && _("{minutes} min", { minutes: numberText(now.estimate) }), now.where].filter(Boolean).join(", ") : _("no longer to decide on"))));
  };

  const save = async () => {
    if (saving || !count()) return;
    saving = true;
    try {
      await decide();
    } finally {
      saving = false;
    }
  };

  // Shows the list after decisions were taken back. What was chosen since stays.
  const takenBack = (next) => {
    changedElsewhere(mergeChosen(offer, next, chosen));
    touched();
    say(_("Taken back.")); // so that an empty list is shown with it
    show(next);
  };

  const decide = async () => {
    clearProblems(root);
    const tasks = offer.tasks.filter((task) => chosen[task.ref]);
    const sent = JSON.parse(JSON.stringify(chosen));
    say(_("Saving…"));
    const decisions = tasks.map(({ ref }) => ({ ref, ...chosen[ref], estimate: number(chosen[ref].estimate) }));
    const { answer, offer: after, failed, silent } = await channel.ask("decide", { base: offer.base, day: offer.day, decisions });
    if (silent || !answer) return say(failed || _(SILENT));
    const before = offer;
    const next = after && { ...after, shown: offer.shown };
    if (answer.saved) {
      back.after(answer, (of) => channel.ask("back", of), (now) => takenBack({ ...now, shown: offer.shown }));
      notices.replaceChildren();
      const typed = Object.fromEntries(Object.entries(chosen).filter(([ref, mine]) => !same(sent[ref], mine)));
      if (next) changedElsewhere(mergeChosen(before, next, typed)); // choices made while saving
      touched();
      say(answer.said);
      return next && show(next);
    }
    if (next) mergeChosen(before, next, chosen);
    if (next) show(next);
    if (answer.conflict.length) {
      notice(_("Changed elsewhere meanwhile, in the same places as here. Nothing is saved: look it over, then save again."), answer.conflict.map(({ field, theirs }) => {
        const task = tasks[Number(field.split(".")[1])];
        return task ? both(task.title, decisionName(sent[task.ref].what), fileText(field, theirs)) : null;
      }));
      touched();
      return say(_("Not saved: the files were changed elsewhere."));
    }
    const places = answer.problems.map((one) => ({ ...one, field: decisionPlace(one.field, tasks) }));
    const { unplaced: rest, first } = showProblems(root, places, { actual: [], planned: [] }, []);
    first?.focus();
    return say(_n("Not saved: one place needs mending. What you chose stays here.", "Not saved: {count} places need mending. What you chose stays here.", places.length), rest);
  };

  // The files were changed elsewhere, or the page shows another week.
  channel.listen(({ offer: next }) => {
    if (!next || saving) return;
    const was = offer;
    if (same(was.tasks, next.tasks) && was.shown === next.shown) {
      offer = next;
      return;
    }
    const changed = count() ? mergeChosen(was, next, chosen) : [];
    if (!same(was.tasks, next.tasks) && !count()) say("");
    show(next);
    if (count() || changed.length) touched();
    changedElsewhere(changed);
  });

  const stopAsking = askBeforeLeaving(() => count() > 0);
  root.addEventListener("keydown", (event) => {
    if (!savesPage(event)) return;
    event.preventDefault();
    save();
  });

  // Restores unsaved choices after a reload.
  const draft = loadDraft(journal, DRAFT);
  try {
    if (draft) changedElsewhere(mergeChosen(draft.offer, offer, draft.now));
  } catch {
    dropDraft(journal, DRAFT); // the draft is from another version of this page
  }
  show(offer);
  touched();
  return () => {
    channel.close();
    stopAsking();
  };
}

const both = (title, yours, theirs) => make(
  "li", {}, make("strong", { text: title }),
  ...[[_("Yours"), yours], [_("In the file"), theirs]].map(([side, text]) => make("div", { class: "side" }, make("span", { class: "aside", text: side }), make("span", { class: "said", text }))),
);

function row(task, chosen, offer, touched) {
  const path = pathOf(task);
  const more = make("div", { class: "more" });
  const mine = () => chosen[task.ref];
  const details = () => {
    more.replaceChildren();
    if (mine()?.what === "day") more.append(...day(task, mine, path, offer, touched));
    if (mine()?.what === "shrink") more.append(...smaller(task, mine, path, touched));
  };
  const control = choice({
    name: path, label: _("What becomes of {title}", task), options: DECISIONS.map((one) => ({ ...one, name: _(one.name) })), kind: "chips", chosen: mine()?.what ?? null,
    choose: (what) => {
      if (what === null) delete chosen[task.ref];
      else chosen[task.ref] = { to: null, title: task.title, estimate: estimateText(task.estimate), ...mine(), what };
      details();
      touched();
    },
  });
  details();
  return make(
    "li", { class: "task" },
    make("span", { class: "name" }, make("span", { text: task.title }), make("span", { class: "aside", text: [task.said, task.where].filter(Boolean).join(" · ") })),
    make("span", { class: "what" }, control), more, problemSpot(path, control),
  );
}

function day(task, mine, path, offer, touched) {
  const field = make("input", { type: "date", min: offer.day, "aria-label": _("Day for {title}", task) });
  field.value = mine().to || "";
  field.addEventListener("input", () => {
    mine().to = field.value || null;
    touched();
  });
  return [make("span", { text: _p("a day", "to") }), field, problemSpot(`${path}.to`, field)];
}

function smaller(task, mine, path, touched) {
  const text = (key, name, attributes) => {
    const field = make("input", { type: "text", autocomplete: "off", "aria-label": name, ...attributes });
    field.value = mine()[key];
    field.addEventListener("input", () => {
      mine()[key] = field.value;
      touched();
    });
    return field;
  };
  const title = text("title", _("Smaller than {title}", task), {});
  const estimate = text("estimate", _("Minutes for the smaller {title}", task), { inputmode: "numeric", class: "amount" });
  return [title, estimate, make("span", { text: _("min") }), problemSpot(`${path}.title`, title), problemSpot(`${path}.estimate`, estimate)];
}

export default { render };
