// The settings: everything in journal.toml, in folded parts, one button that saves, and the change that it would make.

import { openChannel } from "./channel.js";
import { conflictList } from "./conflicts.js";
import { dropDraft, loadDraft, saveDraft } from "./drafts.js";
import { button, make } from "./elements.js";
import { savesPage } from "./keyboard.js";
import { clearProblems, showProblems } from "./problems.js";
import { changeView } from "./settings_change.js";
import { mendingCards } from "./settings_mend.js";
import { mergeSettings } from "./settings_merge.js";
import { settingSection } from "./settings_sections.js";
import { enteredSettings, fromSettings, isSettingsChanged, settingPlace, showsSameSettings } from "./settings_state.js";

const SILENT = "Not saved: the journal does not answer. What you typed stays in this window; see that the command still runs, then save again.";
const DRAFT = "settings";
const MENDING = "settings mending";

function render({ model, el }) {
  const journal = model.get("journal");
  const line = openChannel(model);
  const root = make("div", { class: "sheet settings" });
  const notices = make("div", { class: "notices", "aria-live": "polite" });
  const body = make("div", { class: "sections" });
  const change = make("div", {});
  const said = make("p", { class: "said", role: "status", "aria-live": "polite" });
  const unplaced = make("ul", { class: "unplaced", role: "alert" });
  const press = button("Save the settings", () => save(), { class: "save" });
  const look = button("Show the change", () => showChange());
  const bar = make("div", { class: "bar" }, press, look, make("div", { class: "answer" }, said, unplaced));
  const below = make("p", { class: "quiet" });
  root.append(make("header", { class: "opening" }, make("div", { class: "title" }, make("h1", { text: "Settings" }), below)), notices, body, change, bar);
  el.append(root);

  let form = null; // { offer, now, begun }: `begun` is the offer that a draft is merged from
  let sections = [];
  let unsettled = 0;
  let saving = false;
  let zones = null;
  const opened = new Set();
  const listeners = new Map(); // { path, keys, then }: what follows other fields

  const dirty = () => isSettingsChanged(form.offer, form.now);
  const say = (text, list = []) => {
    said.textContent = text;
    unplaced.replaceChildren(...list.map((one) => make("li", { text: one })));
  };
  const changed = (path) => {
    change.replaceChildren();
    if (dirty() || unsettled) saveDraft(journal, { ...form.begun, day: DRAFT }, form.now);
    else dropDraft(journal, DRAFT);
    say(dirty() ? "Not saved yet." : "");
    if (!path) return;
    for (const { path: within, keys, then } of listeners.values()) {
      if (keys.some((key) => [within, key].filter(Boolean).join(".") === path || (within === path && !key))) then();
    }
  };

  const notice = (text, ...presses) => {
    const made = make("section", { class: "notice", tabindex: "-1", "aria-label": "Note" }, make("p", { text }), make("div", { class: "presses" }, presses));
    notices.append(made);
    return made;
  };

  // Draws all parts. What was open stays open, and the focus stays in its field.
  const show = (offer, now, begun = offer) => {
    const focused = root.getRootNode().activeElement;
    const field = focused && body.contains(focused) ? focused.getAttribute("data-field") : null;
    form = { offer, now, begun };
    listeners.clear();
    below.textContent = offer.closed ? "" : `Everything is written to ${offer.path}, and may be changed there too.`;
    bar.hidden = Boolean(offer.closed || offer.broken.length);
    change.replaceChildren();
    if (offer.broken.length) {
      body.replaceChildren(...mending(offer));
      return say("");
    }
    if (offer.closed) {
      body.replaceChildren(make("p", { class: "closed", text: offer.closed }));
      return say("");
    }
    const sheet = {
      offer, now, opened, changed, editors: new Map(), due: new Map(),
      ask: async (request, params) => {
        const answer = await line.ask(request, params);
        return answer.silent || answer.failed ? null : answer;
      },
      zones: async () => (zones ??= (await line.ask("zones")).zones ?? []),
      whenChanged: (path, keys, then) => listeners.set(`${path} ${keys}`, { path, keys, then }),
    };
    form.editors = sheet.editors;
    sections = offer.sections.map((section) => settingSection(sheet, section));
    body.replaceChildren(...sections.map(({ details }) => details));
    if (field) body.querySelector(`[data-field="${CSS.escape(field)}"]`)?.focus({ preventScroll: true });
    changed();
    if (offer.problems.length && now === form.now) place(offer.problems);
    return null;
  };

  // The broken lines of a file. What is typed in them survives a reload, while the file has them.
  const mending = (offer) => {
    const draft = loadDraft(journal, MENDING);
    const typed = draft?.offer.base === offer.base ? draft.now : {};
    return mendingCards(offer.broken, typed, {
      changed: () => saveDraft(journal, { base: offer.base, day: MENDING }, typed),
      save: async (at, text) => {
        const { answer, offer: after, failed, silent } = await line.ask("mend", { base: offer.base, first: at.first, last: at.last, text });
        if (silent || !answer) return failed || SILENT;
        if (!answer.saved) return answer.problems.map(({ message }) => message).join(" ");
        dropDraft(journal, MENDING);
        begin(after);
        notice(answer.said).focus();
        return "";
      },
    });
  };

  const begin = (offer) => {
    notices.replaceChildren();
    unsettled = 0;
    let draft = null;
    let carried = null;
    try {
      draft = loadDraft(journal, DRAFT);
      if (draft && !offer.closed && isSettingsChanged(draft.offer, draft.now)) carried = mergeSettings(draft.offer, offer, draft.now);
    } catch {
      dropDraft(journal, DRAFT); // the draft is from another version of this page
    }
    if (!carried || !isSettingsChanged(offer, carried.now)) return show(offer, fromSettings(offer));
    settle(carried, offer, draft.offer);
    const back = notice("What you had typed and not saved is here again.", button("Start from the file instead", () => {
      back.remove();
      notices.replaceChildren();
      unsettled = 0;
      show(offer, fromSettings(offer));
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
    const asked = conflictList(conflicts, {}, (left) => {
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

  // Whether what is typed can be sent. Hours are checked while they are typed, and say themselves what is wrong.
  const ready = () => {
    if (saving || form.offer.closed) return false;
    if (unsettled) {
      say(`Not saved: choose first what stays, in ${unsettled === 1 ? "one place" : `${unsettled} places`} above.`);
      return false;
    }
    form.editors.forEach(({ draw }) => draw());
    const wrong = [...body.querySelectorAll(".strips .wrong:not([hidden])")];
    if (wrong.length) {
      reveal(wrong[0]);
      body.querySelector(`[aria-describedby~="${wrong[0].id}"]`)?.focus();
      say("Not saved: the hours need mending. Everything you typed stays here.");
    } else clearProblems(body);
    return !wrong.length;
  };

  const reveal = (element) => {
    for (let at = element.closest("details"); at; at = at.parentElement.closest("details")) at.open = true;
  };

  // Shows problems at their fields, in opened parts. Returns those without a field, and the first field to mend.
  const place = (problems) => {
    sections.forEach(({ details, opened: draw, key }) => {
      const { fields, list, has_strips: strips } = form.offer.sections.find((one) => one.key === key);
      const names = [...fields, list, strips && "hours"].filter(Boolean);
      if (!problems.some(({ field }) => names.some((name) => field === name || field.startsWith(`${name}.`)))) return;
      details.open = true;
      draw();
    });
    const placed = problems.map((one) => ({ ...one, field: settingPlace(one.field, form.offer, form.now) }));
    const { unplaced: rest, first } = showProblems(body, placed, { ...form.now, gratitude: [], actual: [], planned: [] }, []);
    body.querySelectorAll(".wrong:not([hidden])").forEach(reveal);
    const count = problems.length;
    say(`${count === 1 ? "One place" : `${count} places`} in journal.toml cannot be read as meant.`, rest);
    return { rest, first };
  };

  const tell = (problems, begins) => {
    const { rest, first } = place(problems);
    first?.focus();
    const count = problems.length;
    say(`${begins} ${count === 1 ? "one place needs" : `${count} places need`} mending. Everything you typed stays here.`, rest);
  };

  const stale = (offer) => {
    settle(mergeSettings(form.offer, offer, form.now), offer, form.offer);
    say(unsettled ? "Not saved: the file was changed elsewhere. Choose what stays, then save." : "The file was changed elsewhere meanwhile. Look it over, then save again.");
  };

  const showChange = async () => {
    if (!ready()) return;
    const { change: found, offer, failed, silent } = await line.ask("change", enteredSettings(form.offer, form.now));
    if (silent || !found) return say(failed || SILENT);
    if (found.is_stale) return stale(offer);
    if (found.problems.length) return tell(found.problems, "It cannot be saved so:");
    const view = changeView(found);
    change.replaceChildren(view);
    view.focus();
    return view.scrollIntoView({ block: "nearest" });
  };

  const save = async () => {
    if (!ready()) return;
    saving = true;
    body.inert = true; // what is saved is what is seen
    say("Saving…");
    const focused = root.getRootNode().activeElement;
    const { answer, offer: after, failed, silent } = await line.ask("save", enteredSettings(form.offer, form.now));
    saving = false;
    body.inert = false;
    if (body.contains(focused)) focused.focus();
    if (silent || !answer) return say(failed || SILENT);
    if (answer.saved) {
      notices.replaceChildren();
      show(after, fromSettings(after));
      return say(answer.said);
    }
    if (answer.conflict.length && after && !after.closed) return stale(after);
    return tell(answer.problems, "Not saved:");
  };

  // The file was changed from outside: untouched settings follow, touched ones ask.
  line.listen(({ offer }) => {
    if (!offer || saving || unsettled) return;
    if (showsSameSettings(form.offer, offer)) form = { ...form, offer, begun: offer };
    else if (form.offer.closed) begin(offer);
    else if (!dirty()) {
      show(offer, fromSettings(offer));
      say("The file was changed elsewhere; this is how it is now.");
    } else tellOfNews(offer);
  });

  const tellOfNews = (offer) => {
    notices.querySelectorAll(".news").forEach((one) => one.remove());
    const made = offer.closed
      ? notice(`${offer.closed} What you typed stays here.`)
      : notice("The file was changed elsewhere meanwhile. What you typed stays.", button("Show what changed", () => {
        made.remove();
        stale(offer);
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
