// Trials by lot: those there are, each to stop, to ask for its result, or to call off before it begins, and a form for a
// new one. Each press is saved at once.

import { openChannel } from "./channel.js";
import { alertPlace, button, make, tellAll } from "./elements.js";
import { same } from "./form_state.js";
import { askBeforeLeaving } from "./leaving.js";
import { clearProblems, showProblemsOf } from "./problems.js";
import { takeBack } from "./take_back.js";
import { trialFields } from "./trial_fields.js";
import { parsePair, samePlan, sentPlan, typedTrial } from "./trial_state.js";
import { _, N_ } from "./texts.js";

const SILENT = N_("Not saved: the journal does not answer. If the command has ended, run it again; then reload this page and choose again.");
const COUNTING = N_("Counting…");
const WAYS = { stop: N_("Stop"), look: N_("Ask for the result"), off: N_("Call it off") };

function render({ model, el }) {
  const channel = openChannel(model);
  const root = make("div", { class: "sheet trials" });
  const body = make("div", {});
  const said = make("p", { class: "said", role: "status", "aria-live": "polite" });
  const unplaced = alertPlace();
  const notices = make("div", { class: "notices", "aria-live": "polite" });
  const reply = make("div", { class: "reply" }, notices, said, unplaced);
  root.append(body, reply);
  el.append(root);

  const back = takeBack({ say: (text, problems) => say(text, problems), notices, rest: () => body.querySelector('[data-focus="add"]') });
  said.after(back.press);

  let offer = null;
  let open = null; // the form: { typed, touched, form, told }
  let asked = null; // the way of a trial that asks once more: { ref, what }
  let last = Promise.resolve(); // one save after the other

  const say = (text, problems = []) => {
    said.textContent = text;
    tellAll(unplaced, problems);
  };

  const focusOn = (name) => body.querySelector(`[data-focus="${CSS.escape(name)}"]`)?.focus({ preventScroll: true });

  const show = (next) => {
    const focused = root.getRootNode().activeElement;
    const focus = root.contains(focused) ? focused.dataset.focus : null;
    offer = next;
    if (offer.closed || offer.no_new) open = null;
    if (asked && !offer.trials.some(({ ref }) => ref === asked.ref)) asked = null;
    body.replaceChildren(
      make("p", { class: "hint", text: offer.about }), make("p", { class: "not-for", text: offer.not_for }),
      make("ul", { class: "rows" }, offer.trials.map(row)),
      offer.closed || offer.no_new ? make("p", { class: "quiet", text: offer.closed || offer.no_new }) : open ? form() : button(_("+ Make a trial"), () => begin(null), { class: "quiet", "data-focus": "add" }),
    );
    if (focused?.isConnected) focused.focus({ preventScroll: true });
    else if (focus) focusOn(focus);
  };

  const row = (trial) => {
    const press = (what) => button(_(WAYS[what]), () => askOnce(trial, what), {
      class: "quiet", "data-focus": `${what} ${trial.ref}`, "aria-label": `${_(WAYS[what])}: ${trial.question}`, "aria-expanded": String(asked?.ref === trial.ref && asked.what === what),
    });
    return make(
      "li", { class: "trial", "aria-label": trial.question, "data-trial": trial.ref },
      make("span", { class: "name" }, make("span", { class: "question-of", text: trial.question }), trial.said.map((text) => make("span", { class: "aside", text }))),
      offer.closed ? null : make("span", { class: "presses" }, trial.ways.map(({ what }) => press(what))),
      asked?.ref === trial.ref && confirm(trial),
    );
  };

  // A way that cannot be undone, or is counted, says so before it is taken.
  const confirm = (trial) => {
    const way = trial.ways.find(({ what }) => what === asked.what);
    if (!way) return null;
    const press = button(way.press, () => save(way.what, { ref: trial.ref, base: offer.base }), { class: "save", "data-focus": "sure" });
    return make("div", { class: "panel", role: "group", "aria-label": _(WAYS[way.what]) }, make("p", { text: way.said }), make("div", { class: "presses" }, press, button(_("Cancel"), () => askOnce(trial, way.what), { class: "quiet" })));
  };

  const askOnce = (trial, what) => {
    const is = asked?.ref === trial.ref && asked.what === what;
    asked = is ? null : { ref: trial.ref, what };
    show(offer);
    focusOn(is ? `${what} ${trial.ref}` : "sure");
  };

  const begin = (pair) => {
    if (offer.closed || offer.no_new) return;
    open = { typed: typedTrial(offer, pair), touched: false, form: null, told: null };
    show(offer);
    body.querySelector(".new-trial input")?.focus();
  };

  const close = () => {
    open = null;
    show(offer);
    focusOn("add");
  };

  const form = () => {
    open.form ??= trialFields({ offer, typed: open.typed, changed: () => { open.touched = true; open.told = null; }, ask: askLength, draw, cancel: close });
    return open.form.element;
  };

  const askLength = async () => {
    const { form: asking, typed } = open;
    const sent = sentPlan(offer, typed);
    clearProblems(root);
    say(_(COUNTING));
    const { said: lines, problems, failed, silent } = await channel.ask("length", sent, (progress) => open?.form === asking && say(progress || _(COUNTING)));
    if (open?.form !== asking) return;
    if (silent || failed) return say(failed || _(SILENT));
    if (problems?.length) return say(_("The plan has something to correct."), showProblemsOf(body, "trial", problems));
    say("");
    if (!samePlan(sent, sentPlan(offer, typed))) return; // typed on meanwhile
    open.told = sent;
    asking.tell(lines);
    focusOn("draw");
  };

  const draw = (sure) => save("make", { ...sentPlan(offer, open.typed), sure });

  const save = (what, sent) => {
    last = last.then(() => send(what, sent));
    return last;
  };

  const send = async (what, sent) => {
    clearProblems(root);
    say(_("Saving…"));
    const { answer, offer: after, asks, failed, silent } = await channel.ask(what, sent);
    if (silent || !(answer || asks)) return say(failed || _(SILENT));
    if (asks) {
      say("");
      return open?.form?.askAgain(asks);
    }
    if (answer.saved) {
      if (what === "make" || what === "off") back.after(answer, (of) => channel.ask("back", of), (now) => now && show(now));
      else back.forget();
      if (what === "make") open = null;
      asked = null;
      if (after) show(after);
      focusOn("add");
      return say(answer.said);
    }
    if (after) show(after);
    if (answer.conflict.length) return say(_("Not saved: this was changed elsewhere meanwhile. It is shown as it is now."));
    return say(_("Not saved."), showProblemsOf(body, "trial", answer.problems));
  };

  // A link of the page that names a pair: the form is filled with it. The chapter is opened by the link itself.
  const followed = (event) => {
    const pair = parsePair(event.target.closest?.("a[data-pair]")?.dataset.pair);
    if (pair && !event.ctrlKey && !event.metaKey) requestAnimationFrame(() => begin(pair));
  };
  document.addEventListener("click", followed);
  channel.listen(({ offer: next }) => {
    if (next && !same(next, offer)) last = last.then(() => show(next));
  });
  const stopAsking = askBeforeLeaving(() => open?.touched);
  show(model.get("offer"));
  const address = new URLSearchParams(window.location.search);
  const named = parsePair(address.get("pair"));
  if (named || address.get("open") === "lot") requestAnimationFrame(() => comeTo(named));
  const comeTo = (pair) => {
    const chapter = document.getElementById("chapter-lot");
    if (chapter) chapter.open = true;
    if (pair) begin(pair);
    root.scrollIntoView({ block: "start" });
  };
  return () => {
    document.removeEventListener("click", followed);
    channel.close();
    stopAsking();
  };
}

export default { render };
