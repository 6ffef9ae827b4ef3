// The page of a day: its cards, each edit saved as it is made, the step back, and edits from elsewhere.

import { alertPlace, button, make, tell, tellAll } from "./elements.js";
import { openChannel } from "./channel.js";
import { dayAppointments } from "./day_appointments.js";
import { conflictNotice, homelessNotice } from "./day_conflict.js";
import { dayHabits } from "./day_habits.js";
import { dayHeader } from "./day_header.js";
import { dayHours } from "./day_hours.js";
import { editList, typedTexts } from "./day_memory.js";
import { dayNotes } from "./day_notes.js";
import { dayTasks } from "./day_tasks.js";
import { dayWeather } from "./day_weather.js";
import { capacity } from "./capacity.js";
import { baseFor, editQueue } from "./edit_queue.js";
import { inTextField, stepsBack } from "./keyboard.js";
import { keepingFocus } from "./kept_focus.js";
import { askBeforeLeaving } from "./leaving.js";
import { clearProblems } from "./problems.js";
import { SILENT } from "./save_bar.js";
import { DAY } from "./times.js";
import { CHANGED } from "./unsaved.js";
import { _ } from "./texts.js";

const EVERY = 20000; // ms between two looks at the clock: the line is at most a third of a minute late

// The cards: what each is drawn from, so that an edit redraws no other card.
const CARDS = {
  hours: { draw: dayHours, of: ({ kind, planned, planned_from, actual, daylight, appointments, categories, clock }) => [kind, planned, planned_from, actual, daylight, appointments, categories, clock] },
  tasks: { draw: dayTasks, of: ({ kind, tasks, ranked, routines, left, undated }) => [kind, tasks, ranked, routines, left, undated] },
  fit: { draw: ({ offer }) => (offer.fit ? capacity({ offer }) : null), of: ({ fit }) => [fit] },
  appointments: { draw: dayAppointments, of: ({ appointments, clock }) => [appointments, clock] },
  habits: { draw: dayHabits, of: ({ kind, habits, challenges, coming_habits }) => [kind, habits, challenges, coming_habits] },
  notes: { draw: dayNotes, of: ({ kind, notes, gratitude }) => [kind, notes, gratitude] },
  weather: { draw: dayWeather, of: ({ sun, fields, place, places }) => [sun, fields, place, places] },
};
const NAMED = /^(notes|gratitude|task|appointment) /; // texts that belong to something on the page
const HALVES = [["hours", "tasks", "fit", "appointments"], ["habits", "notes", "weather"]];

// The parts to open because they hold a text that is not saved.
const openedBy = (texts) => new Set(Object.keys(texts).filter((path) => NAMED.test(path)).map((path) => path.slice(0, path.lastIndexOf("."))));

function render({ model, el }) {
  const journal = model.get("journal");
  const channel = openChannel(model);
  const edits = editList(journal);
  const root = make("main", { class: "sheet day" });
  const top = make("div", { class: "opening" });
  const notices = make("div", { class: "notices", "aria-live": "polite" });
  const places = Object.fromEntries(Object.keys(CARDS).map((name) => [name, make("div", { class: `place-of-${name}` })]));
  const body = make("div", { class: "halves" }, HALVES.map((names) => make("div", { class: "half" }, names.map((name) => places[name]))));
  const status = make("p", { class: "said", role: "status", "aria-live": "polite" });
  const problems = alertPlace();
  const undoButton = button(_("Undo"), () => undo(), { class: "undo", "aria-keyshortcuts": "Control+Z" });
  const lastEdits = make("ol", { class: "last-edits" });
  const history = make("details", { class: "history" }, make("summary", { text: _("Last edits") }), lastEdits);
  const bar = make("div", { class: "bar" }, undoButton, make("div", { class: "answer" }, status, problems), history);
  root.append(top, notices, body, bar);
  el.append(root);

  let drawn = {}; // by card, what it was last drawn from
  let received = 0;
  let memory = null; // the texts of the day shown

  const page = {
    offer: null,
    typed: {},
    sent: {}, // texts that are on their way
    opened: new Set(),
    writing: null, // the kind of line to add
    drawing: false,
    minute: () => (page.offer.now === null ? null : page.offer.now + Math.floor((Date.now() - received) / 60000)),
    // The one of three words that is right of the day.
    ofDay: ({ today, tomorrow, other }) => (page.offer.kind === "today" ? today : page.offer.before === page.offer.today ? tomorrow : other),
    keep: (path, text) => memory.put(path, text, page.offer.base),
    forget(path) {
      delete page.sent[path];
      memory.drop(path);
    },
    // Sends an edit. `at` is the part of the page that its problems belong to, `clears` are the texts that it saves. What was
    // typed belongs to the version that it was begun on, so a change of the same elsewhere is not overwritten unseen.
    edit(edit, at, clears = []) {
      const texts = Object.fromEntries(clears.map((path) => [path, page.typed[path]]));
      const begun = clears.map((path) => memory.begun[path]).find(Boolean);
      clearProblems(root);
      say(_("Saving…"));
      return queue.push({ edit, at, texts, day: page.offer.day, base: begun ?? page.offer.base, held: Boolean(begun) });
    },
    redraw: (name) => drawCard(name, true),
  };

  const say = (text, list = [], ...presses) => {
    status.replaceChildren(text, ...presses);
    tellAll(problems, list);
    const last = edits.last;
    undoButton.hidden = history.hidden = !last;
    if (last) undoButton.setAttribute("aria-label", _("Undo: {did}", last));
    lastEdits.replaceChildren(...edits.newest(8).map(({ did, day }) => make("li", { text: day === page.offer.day ? did : `${did} (${day})` })));
    bar.hidden = !last && !text;
  };

  const drawCard = (name, anyway = false) => {
    const { draw, of } = CARDS[name];
    const now = JSON.stringify(of(page.offer));
    if (!anyway && drawn[name] === now) return;
    drawn[name] = now;
    page.drawing = true;
    keepingFocus(root, places[name], () => {
      const element = draw(page);
      places[name].replaceChildren(...(element ? [element] : []));
    });
    page.drawing = false;
  };

  const show = (offer) => {
    const another = page.offer?.day !== offer.day;
    page.offer = offer;
    received = Date.now();
    if (another) {
      memory = typedTexts(journal, offer.day);
      Object.assign(page, { typed: memory.texts, sent: {}, opened: openedBy(memory.texts) });
      page.onMinute = page.onClosing = null;
      notices.replaceChildren();
      drawn = {};
    }
    root.dataset.kind = offer.kind;
    top.replaceChildren(...dayHeader(page, openDay));
    Object.keys(CARDS).forEach((name) => drawCard(name));
    homeless();
    look();
  };

  // Texts whose line or task was changed or taken out elsewhere: they can become a note.
  const homeless = () => {
    root.querySelectorAll(".homeless").forEach((element) => element.remove());
    for (const path of Object.keys(page.typed).filter((one) => NAMED.test(one))) {
      if ([...root.querySelectorAll("[data-typed]")].some(({ dataset }) => dataset.typed === path)) continue;
      notices.append(homelessNotice(page, path));
    }
  };

  // What follows the clock: the line on the strip, the way to the evening, and the turn of the day.
  const look = () => {
    const minute = page.minute();
    page.onMinute?.(minute);
    page.onClosing?.(minute);
    if (minute === null || minute < DAY + page.offer.turns || notices.querySelector(".turned")) return;
    notices.append(make("section", { class: "notice turned", "aria-label": _("Note") }, make("p", { text: _("Another day has begun.") }), button(_("Open today"), () => openDay(null))));
  };

  const openDay = async (day) => {
    await queue.idle();
    say(_("Opening…"));
    const { offer, failed, silent } = await channel.ask("day", { day });
    if (!offer) return say(failed || (silent ? _("That day is not here: the journal does not answer. If the command has ended, run it again; then reload this page.") : _("That day cannot be opened.")));
    show(offer);
    top.querySelector("h1").focus();
    return say("");
  };

  const send = async (item) => {
    if (!item.undo) item.base = baseFor(item, page.offer);
    item.sent = true;
    const params = item.undo
      ? { day: page.offer.day, undo: item.undo, resolve: item.resolve }
      : { day: item.day, base: item.base, edit: item.edit, resolve: item.resolve };
    const told = await channel.ask(item.undo ? "undo" : "edit", params);
    if (told.silent || !told.answer) return unanswered(item, told.failed || _(SILENT));
    if (told.answer.saved) settled(item, told);
    if (told.offer && told.offer.day === page.offer.day) show(told.offer);
    if (told.answer.saved) return say(item.undo ? _("{did}: undone.", item) : [told.did, told.answer.said].filter(Boolean).join(" · "));
    if (told.answer.conflict.length) return differs(item, told);
    return refused(item, told.answer);
  };

  const settled = (item, { did, undo: back }) => {
    delete page.sent[item.at];
    if (item.undo) edits.drop();
    else if (back) edits.add({ did, undo: back, day: item.day });
    for (const [path, text] of Object.entries(item.texts ?? {})) {
      if (JSON.stringify(page.typed[path]) === JSON.stringify(text)) page.forget(path);
    }
    if (item.at?.startsWith("add")) drawn[{ "add task": "tasks", "add appointment": "appointments", add: "notes" }[item.at]] = null;
    if (item.at?.startsWith("appointment ")) page.opened.delete(item.at);
  };

  // The controls go back to what the files say. What was typed stays in its field.
  const redrawAll = () => Object.keys(CARDS).forEach((name) => drawCard(name, true));

  const unanswered = (item, text) => {
    page.sent = {};
    redrawAll();
    say(`${text} `, [], button(_("Try again"), () => queue.push(item), { class: "quiet" }));
  };

  const refused = (item, { problems: told, said }) => {
    for (const path of [item.at, ...Object.keys(item.texts ?? {})]) delete page.sent[path];
    redrawAll();
    const rest = [];
    let first = null;
    for (const { field, message } of told) {
      const spot = spotOf(item.at, field);
      if (spot) tell(spot, message);
      else rest.push(message);
      first ||= spot && root.querySelector(`[aria-describedby~="${spot.id}"]`);
    }
    first?.focus();
    const outcome = item.undo ? _("Not undone.") : _("Not saved.");
    say(`${outcome} ${said}`.trim(), rest);
  };

  // The place for a message: that of the field, else that of the part of the page.
  const spotOf = (at, field) => {
    const last = field.split(".").at(-1);
    const spots = [...root.querySelectorAll("[data-spot]")];
    const named = (name) => spots.find((spot) => spot.dataset.spot === name);
    return at && (named(`${at}.${last}`) ?? spots.find(({ dataset }) => dataset.spot.startsWith(`${at}.`) && dataset.spot.endsWith(`.${last}`)) ?? named(at));
  };

  const differs = (item, { answer, did }) => {
    redrawAll();
    const reason = answer.lost || _("the same was changed elsewhere.");
    say(item.undo ? _("Not undone: {reason} Choose what stays.", { reason }) : _("Not saved: {reason} Choose what stays.", { reason }));
    const notice = conflictNotice(answer.conflict, { what: item.undo ? _("Undo: {did}", item) : did, offer: page.offer }, (resolve) => {
      notice.remove();
      if (resolve) return queue.push({ ...item, resolve });
      for (const path of [item.at, ...Object.keys(item.texts ?? {})]) page.forget(path);
      if (item.undo) edits.drop();
      redrawAll();
      return say(_("What the files have stays."));
    });
    notices.prepend(notice);
    notice.focus();
  };

  const undo = () => {
    const last = edits.last;
    if (!last || queue.busy) return;
    clearProblems(root);
    say(_("Undoing…"));
    queue.push({ undo: last.undo, did: last.did, day: page.offer.day });
  };

  const queue = editQueue(send);

  channel.listen(({ offer }) => {
    if (!offer || offer.day !== page.offer.day) return;
    show(offer);
    if (!queue.busy) say(_(CHANGED));
  });

  const pressed = (event) => {
    if (!stepsBack(event) || inTextField(event.composedPath()[0]) || !edits.last) return;
    event.preventDefault();
    undo();
  };
  const stopAsking = askBeforeLeaving(() => queue.busy || Object.keys(page.typed).length > 0);
  const seen = () => document.visibilityState === "visible" && look();
  window.addEventListener("keydown", pressed);
  document.addEventListener("visibilitychange", seen);
  const clock = setInterval(look, EVERY);

  show(model.get("offer"));
  say(Object.keys(page.typed).length ? _("What you had typed and not saved is here again.") : "");
  return () => {
    channel.close();
    clearInterval(clock);
    window.removeEventListener("keydown", pressed);
    stopAsking();
    document.removeEventListener("visibilitychange", seen);
  };
}

export default { render };
