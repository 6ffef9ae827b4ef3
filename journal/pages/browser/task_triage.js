// The week's list of tasks to decide on: each with four ways, one button that saves, and what is said beside it.

import { button, card, choice, make, problemSpot } from "./elements.js";
import { loadDraft, dropDraft, saveDraft } from "./drafts.js";
import { openChannel } from "./channel.js";
import { number, same } from "./form_state.js";
import { clearProblems, showProblems } from "./problems.js";

const WHAT = [
  { value: "do", name: "do it tomorrow" },
  { value: "shrink", name: "make it smaller" },
  { value: "day", name: "set a day" },
  { value: "drop", name: "drop it" },
];
const DRAFT = "decide"; // no day, so that no evening takes it for one of its own
const SILENT = "Not saved: the journal does not answer. What you chose stays in this window; see that the command still runs, then save again.";

const minutes = (estimate) => (estimate === null || estimate === undefined ? "" : String(estimate));
const named = (what) => WHAT.find((one) => one.value === what).name;

// The task of another list that is this one: where it was, or on another page under its id or its title.
function again(task, tasks) {
  const name = (one) => one.ref.slice(one.ref.indexOf("/") + 1);
  return tasks.find((one) => one.ref === task.ref) || tasks.find((one) => name(one) === name(task) || one.title === task.title);
}

// What was typed for a task, with what nobody touched of it as the task is now.
function followed(mine, task, now) {
  const title = mine.title === task.title ? now.title : mine.title;
  const estimate = mine.estimate === minutes(task.estimate) ? minutes(now.estimate) : mine.estimate;
  return { ...mine, title, estimate };
}

function render({ model, el }) {
  const journal = model.get("journal");
  const line = openChannel(model);
  const root = make("div", { class: "sheet undecided" });
  const notices = make("div", { class: "notices", "aria-live": "polite" });
  const list = make("ul", { class: "rows tasks" });
  const undated = make("ul", { class: "rows tasks" });
  const summary = make("summary", {});
  const apart = make("details", {}, summary, undated);
  const empty = make("p", { class: "empty", text: "No task was carried twice or left behind." });
  const more = make("p", { class: "hint" });
  const said = make("p", { class: "said", role: "status", "aria-live": "polite" });
  const unplaced = make("ul", { class: "unplaced", role: "alert" });
  const press = button("Save the decisions", () => save(), { class: "save" });
  const bar = make("div", { class: "bar" }, press, make("div", { class: "answer" }, said, unplaced));
  const note = make("p", { class: "hint", text: "Carried twice or more, or left behind by a day that is over. What you choose is written when you save." });
  const rest = make("div", {});
  const whole = card("To decide on", "to-decide", note, notices, list, empty, rest, more, bar);
  el.append(root);

  let offer = model.get("offer");
  let chosen = {}; // by the ref of its task: what, to, title, estimate
  let saving = false;

  const count = () => Object.keys(chosen).length;

  const say = (text, rest = []) => {
    said.textContent = text;
    unplaced.replaceChildren(...rest.map((one) => make("li", { text: one })));
    bar.hidden = !count() && !text;
    press.hidden = !count();
  };

  const touched = () => {
    if (count()) saveDraft(journal, { ...offer, day: DRAFT }, chosen);
    else dropDraft(journal, DRAFT);
    say(count() ? `${count()} ${count() === 1 ? "decision is" : "decisions are"} not saved yet.` : "");
  };

  const notice = (title, rows) => notices.replaceChildren(
    make("section", { class: "notice", "aria-label": title }, make("p", { text: title }), make("ul", { class: "differing" }, rows)),
  );

  // Draws a list; what was open stays open, and the focus stays where it was.
  const show = (next) => {
    const focused = root.getRootNode().activeElement;
    const name = focused && root.contains(focused) ? focused.getAttribute("aria-label") : null;
    const group = focused?.closest("[role=radiogroup]")?.getAttribute("aria-label");
    offer = next;
    const place = (task) => row(task, chosen, offer, touched);
    list.replaceChildren(...offer.tasks.filter((task) => task.kind !== "undated").map(place));
    undated.replaceChildren(...offer.tasks.filter((task) => task.kind === "undated").map(place));
    empty.hidden = list.children.length > 0;
    rest.replaceChildren(...(undated.children.length ? [apart] : []));
    apart.open ||= [...undated.children].some((one) => one.querySelector("input:checked"));
    summary.textContent = `Without a day for four weeks or more, ${undated.children.length}`;
    more.textContent = offer.more ? `And ${offer.more} more, which were carried less.` : "";
    more.hidden = !offer.more;
    root.replaceChildren(...(offer.shown && (offer.tasks.length || said.textContent) ? [whole] : []));
    if (!name) return;
    const within = group ? [...root.querySelectorAll("[role=radiogroup]")].find((one) => one.getAttribute("aria-label") === group) : root;
    [...(within || root).querySelectorAll("[aria-label]")].find((one) => one.getAttribute("aria-label") === name)?.focus({ preventScroll: true });
  };

  // What was chosen goes over to a newer list. Returns the tasks that changed since or are no longer on it.
  const mergeChosen = (before, next, given) => {
    const kept = {};
    const changed = [];
    for (const task of before.tasks.filter((one) => given[one.ref])) {
      const now = again(task, next.tasks);
      if (now) kept[now.ref] = followed(given[task.ref], task, now);
      if (!now || ["title", "estimate", "where"].some((key) => now[key] !== task[key])) changed.push({ task, now, mine: given[task.ref] });
    }
    chosen = kept;
    return changed;
  };

  const changedElsewhere = (changed) => {
    if (!changed.length) return;
    notice("Changed elsewhere meanwhile. What you chose stays where it still can; look it over before you save.", changed.map(({ task, now, mine }) => both(task.title, named(mine.what), now ? [now.title, now.estimate && `${now.estimate} min`, now.where].filter(Boolean).join(", ") : "no longer to decide on")));
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

  const decide = async () => {
    clearProblems(root);
    const tasks = offer.tasks.filter((task) => chosen[task.ref]);
    const sent = JSON.parse(JSON.stringify(chosen));
    say("Saving…");
    const decisions = tasks.map(({ ref }) => ({ ref, ...chosen[ref], estimate: number(chosen[ref].estimate) }));
    const { answer, offer: after, failed, silent } = await line.ask("decide", { base: offer.base, day: offer.day, decisions });
    if (silent || !answer) return say(failed || SILENT);
    const before = offer;
    const next = after && { ...after, shown: offer.shown };
    if (answer.saved) {
      notices.replaceChildren();
      const typed = Object.fromEntries(Object.entries(chosen).filter(([ref, mine]) => !same(sent[ref], mine)));
      changedElsewhere(mergeChosen(before, next, typed)); // what was chosen while it was being saved
      touched();
      say(answer.said);
      return show(next);
    }
    if (next) mergeChosen(before, next, chosen);
    if (next) show(next);
    if (answer.conflict.length) {
      notice("Changed elsewhere meanwhile, in the same places as here. Nothing is saved: look it over, then save again.", answer.conflict.map(({ field, theirs }) => {
        const task = tasks[Number(field.split(".")[1])];
        return task ? both(task.title, named(sent[task.ref].what), inFile(field, theirs)) : null;
      }));
      touched();
      return say("Not saved: the files were changed elsewhere.");
    }
    const places = answer.problems.map((one) => ({ ...one, field: placeOf(one.field, tasks) }));
    const { unplaced: rest, first } = showProblems(root, places, { actual: [], planned: [] }, []);
    first?.focus();
    return say(`Not saved: ${places.length === 1 ? "one place needs" : `${places.length} places need`} mending. What you chose stays here.`, rest);
  };

  // The files were changed from outside, or another week is looked at.
  line.listen(({ offer: next }) => {
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

  const leaving = (event) => {
    if (count()) event.preventDefault();
  };
  window.addEventListener("beforeunload", leaving);
  root.addEventListener("keydown", (event) => {
    if (event.key !== "s" || !(event.ctrlKey || event.metaKey)) return;
    event.preventDefault();
    save();
  });

  // What was chosen and not saved before a reload is here again.
  const draft = loadDraft(journal, DRAFT);
  try {
    if (draft) changedElsewhere(mergeChosen(draft.offer, offer, draft.now));
  } catch {
    dropDraft(journal, DRAFT); // one that another version of this page kept
  }
  show(offer);
  touched();
  return () => {
    line.close();
    window.removeEventListener("beforeunload", leaving);
  };
}

const both = (title, yours, theirs) => make(
  "li", {}, make("strong", { text: title }),
  ...[["Yours", yours], ["In the file", theirs]].map(([side, text]) => make("div", { class: "side" }, make("span", { class: "aside", text: side }), make("span", { class: "said", text }))),
);

// What a file has in the place that a decision was about to change: a task's state, its words, the whole row.
function inFile(field, theirs) {
  if (theirs === null || theirs === undefined) return "it was taken out";
  if (typeof theirs === "object") return [theirs.title, theirs.estimate && `${theirs.estimate} min`, theirs.status].filter(Boolean).join(", ");
  const key = field.split(".")[2];
  return key === "estimate" ? `${theirs} min` : String(theirs);
}

// A message about the second decision that was sent belongs to the row of its task.
function placeOf(field, tasks) {
  const [kind, at, key] = field.split(".");
  const task = kind === "decisions" ? tasks[Number(at)] : null;
  return task ? [`decided ${task.ref.replaceAll(".", "·")}`, key].filter(Boolean).join(".") : "";
}

function row(task, chosen, offer, touched) {
  const path = `decided ${task.ref.replaceAll(".", "·")}`;
  const more = make("div", { class: "more" });
  const mine = () => chosen[task.ref];
  const details = () => {
    more.replaceChildren();
    if (mine()?.what === "day") more.append(...day(task, mine, path, offer, touched));
    if (mine()?.what === "shrink") more.append(...smaller(task, mine, path, touched));
  };
  const control = choice({
    name: path, label: `What becomes of ${task.title}`, options: WHAT, kind: "chips", chosen: mine()?.what ?? null,
    choose: (what) => {
      if (what === null) delete chosen[task.ref];
      else chosen[task.ref] = { to: null, title: task.title, estimate: minutes(task.estimate), ...mine(), what };
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
  const field = make("input", { type: "date", min: offer.day, "aria-label": `Day for ${task.title}` });
  field.value = mine().to || "";
  field.addEventListener("input", () => {
    mine().to = field.value || null;
    touched();
  });
  return [make("span", { text: "to" }), field, problemSpot(`${path}.to`, field)];
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
  const title = text("title", `Smaller than ${task.title}`, {});
  const estimate = text("estimate", `Minutes for the smaller ${task.title}`, { inputmode: "numeric", class: "amount" });
  return [title, estimate, make("span", { text: "min" }), problemSpot(`${path}.title`, title), problemSpot(`${path}.estimate`, estimate)];
}

export default { render };
