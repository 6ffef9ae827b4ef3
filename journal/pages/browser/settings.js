// The settings: everything in journal.toml, in folded parts, one button that saves, and the change that it would make.

import { openChannel } from "./channel.js";
import { dropDraft, loadDraft, saveDraft } from "./drafts.js";
import { button, make } from "./elements.js";
import { keepingFocus } from "./kept_focus.js";
import { clearProblems, showProblems } from "./problems.js";
import { saveBar, SILENT } from "./save_bar.js";
import { changeView } from "./settings_change.js";
import { mendingCards } from "./settings_mend.js";
import { mergeSettings } from "./settings_merge.js";
import { settingSection } from "./settings_sections.js";
import { enteredSettings, fromSettings, isSettingsChanged, settingPlace, showsSameSettings } from "./settings_state.js";
import { takeBack } from "./take_back.js";
import { CHOOSE, LOOK_OVER, unsaved } from "./unsaved.js";
import { _, _n } from "./texts.js";

const MENDING = "settings mending";
const OF_SETTINGS = { draftName: () => "settings", fromOffer: fromSettings, isChanged: isSettingsChanged, merge: mergeSettings };

function render({ model, el }) {
  const journal = model.get("journal");
  const line = openChannel(model);
  const root = make("main", { class: "sheet settings" });
  const notices = make("div", { class: "notices", "aria-live": "polite" });
  const body = make("div", { class: "sections" });
  const change = make("div", {});
  const below = make("p", { class: "quiet" });
  const bar = saveBar({ root, save: () => save(), dirty: () => work.dirty(), alone: true });
  const { say } = bar;
  const back = takeBack({ say, notices, rest: () => bar.press });
  bar.press.textContent = _("Save the settings");
  bar.press.parentElement.after(button(_("Show the change"), () => showChange()));
  root.append(make("header", { class: "opening" }, make("div", { class: "title" }, make("h1", { text: _("Settings") }), below)), notices, body, change, bar.element);
  el.append(root);

  let sections = [];
  let saving = false;
  let zones = null;
  const opened = new Set(); // the parts and rows that are unfolded
  const listeners = new Map(); // { within, keys, then }: what follows other fields
  const editors = new Map(); // of hours, by day

  const changed = (path) => {
    change.replaceChildren();
    work.keep();
    say(work.dirty() ? _("Not saved yet.") : "");
    if (!path) return;
    for (const { within, keys, then } of listeners.values()) {
      if (keys.some((key) => [within, key].filter(Boolean).join(".") === path || (within === path && !key))) then();
    }
  };

  // Draws all parts. What was open stays open, and the focus stays in its field.
  const draw = (offer, now) => {
    listeners.clear();
    editors.clear();
    change.replaceChildren();
    below.textContent = offer.closed ? "" : _("Everything is written to {path}, and may be changed there too.", { path: offer.path });
    bar.element.hidden = Boolean(offer.closed);
    if (offer.closed) {
      body.replaceChildren(...(offer.broken.length ? mending(offer) : [make("p", { class: "closed", text: offer.closed })]));
      say("");
      return;
    }
    const sheet = {
      offer, now, opened, changed, editors, due: new Map(), ask,
      zones: async () => (zones ??= (await ask("zones"))?.zones ?? []),
      whenChanged: (within, keys, then) => listeners.set(`${within} ${keys}`, { within, keys, then }),
    };
    sections = offer.sections.map((section) => ({ ...settingSection(sheet, section), section }));
    keepingFocus(root, body, () => body.replaceChildren(...sections.map(({ details }) => details)));
    changed();
    if (!offer.problems.length) return;
    const { unplaced } = place(offer.problems, offer, now);
    const count = offer.problems.length;
    say(_n("One place in {path} cannot be read as meant.", "{count} places in {path} cannot be read as meant.", count, { path: offer.path }), unplaced);
  };

  const ask = async (request, params = {}) => {
    const answer = await line.ask(request, params);
    return answer.silent || answer.failed ? null : answer;
  };

  const work = unsaved({ journal, notices, bar, of: OF_SETTINGS, draw });

  // The broken lines of a file. What is typed in them survives a reload, while the file has them.
  const mending = (offer) => {
    const draft = loadDraft(journal, MENDING);
    const typed = draft?.offer.base === offer.base ? draft.now : {};
    return mendingCards(offer.broken, typed, {
      changed: () => saveDraft(journal, { base: offer.base, day: MENDING }, typed),
      save: async ({ first, last }, text) => {
        const { answer, offer: after, failed, silent } = await line.ask("mend", { base: offer.base, first, last, text });
        if (silent || !answer) return failed || _(SILENT);
        if (!answer.saved) return answer.problems.map(({ message }) => message).join(" ");
        dropDraft(journal, MENDING);
        work.clear();
        if (after) work.begin(after);
        const told = work.notice(answer.said, back.press);
        offerBack(answer);
        told.tabIndex = -1;
        told.focus();
        return "";
      },
    });
  };

  // The way back from a save. What was typed since stays. Broken lines that are back have no save bar, so a note tells.
  const offerBack = (answer) => back.after(answer, (of) => line.ask("back", of), (after) => {
    work.clear();
    if (work.dirty() && !after.closed) work.settle(mergeSettings(work.offer, after, work.now), after, work.offer);
    else work.begin(after);
    if (after.closed) work.notice(_("Taken back. journal.toml is as before."));
  });

  const reveal = (element) => {
    for (let at = element.closest("details"); at; at = at.parentElement.closest("details")) at.open = true;
  };

  // Shows problems at their fields, in unfolded parts. Returns those without a field, and the first field to mend.
  const place = (problems, offer, now) => {
    for (const { details, opened: drawFields, section } of sections) {
      const names = [...section.fields, section.list, section.has_strips && "hours"].filter(Boolean);
      if (!problems.some(({ field }) => names.some((name) => field === name || field.startsWith(`${name}.`)))) continue;
      details.open = true;
      drawFields();
    }
    const placed = problems.map((one) => ({ ...one, field: settingPlace(one.field, offer, now) }));
    const shown = showProblems(body, placed, { ...now, gratitude: [], actual: [], planned: [] }, []);
    body.querySelectorAll(".wrong:not([hidden])").forEach(reveal);
    return shown;
  };

  const refuse = (problems) => {
    const { unplaced, first } = place(problems, work.offer, work.now);
    bar.refused({ count: problems.length, first }, unplaced);
  };

  // Whether what is typed can be sent. Hours are checked while they are typed, and say themselves what is wrong.
  const ready = () => {
    if (saving || work.offer.closed) return false;
    const wait = work.waits();
    if (wait) say(wait);
    if (wait) return false;
    editors.forEach((editor) => editor.draw());
    const wrong = [...body.querySelectorAll(".strips .wrong:not([hidden])")];
    if (!wrong.length) clearProblems(body);
    else {
      reveal(wrong[0]);
      bar.refused({ count: wrong.length, first: body.querySelector(`[aria-describedby~="${wrong[0].id}"]`) });
    }
    return !wrong.length;
  };

  const merge = (after) => {
    work.settle(mergeSettings(work.offer, after, work.now), after, work.offer);
    say(work.open ? _(CHOOSE) : _(LOOK_OVER));
  };

  const showChange = async () => {
    if (!ready()) return;
    const { change: found, offer, failed, silent } = await line.ask("change", enteredSettings(work.offer, work.now));
    if (silent || !found) say(failed || _(SILENT));
    else if (found.is_stale) merge(offer);
    else if (found.problems.length) refuse(found.problems);
    else {
      const view = changeView(found);
      change.replaceChildren(view);
      view.focus();
      view.scrollIntoView({ block: "nearest" });
    }
  };

  const save = async () => {
    if (!ready()) return;
    saving = true;
    const focused = root.getRootNode().activeElement;
    body.inert = true; // what is saved is what is seen
    say(_("Saving…"));
    const { answer, offer: after, failed, silent } = await line.ask("save", enteredSettings(work.offer, work.now));
    saving = false;
    body.inert = false;
    if (body.contains(focused)) focused.focus();
    if (silent || !answer) say(failed || _(SILENT));
    else if (answer.saved) {
      work.clear();
      if (after) work.show(after, fromSettings(after));
      bar.beside(back.press);
      offerBack(answer);
      say(answer.said);
    } else if (answer.conflict.length && after && !after.closed) merge(after);
    else refuse(answer.problems);
  };

  // The file was changed from outside: untouched settings follow, touched ones ask.
  line.listen(({ offer }) => {
    if (!offer || saving || work.open) return;
    if (showsSameSettings(work.offer, offer)) work.replace(offer);
    else if (work.offer.closed) work.begin(offer);
    else work.news(offer);
  });

  work.begin(model.get("offer"));
  return () => {
    line.close();
    bar.close();
  };
}

export default { render };
