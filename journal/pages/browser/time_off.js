// Time off, in a folded card: what there is, each to edit, shorten or remove, and a form for more. Each press is saved at once.

import { openChannel } from "./channel.js";
import { alertPlace, button, labelled, make, problemSpot, tellAll, uniqueId } from "./elements.js";
import { same } from "./form_state.js";
import { keepingFocus } from "./kept_focus.js";
import { askBeforeLeaving } from "./leaving.js";
import { clearProblems, showProblemsOf } from "./problems.js";
import { takeBack } from "./take_back.js";
import { habitChoices, newTimeOff, sentTimeOff, toggledHabit, typedTimeOff } from "./time_off_state.js";
import { N_, _ } from "./texts.js";

const SILENT = N_("Not saved: the journal does not answer. If the command has ended, run it again; then reload this page and write it again.");
const NEW = "new";

function render({ model, el }) {
  const channel = openChannel(model);
  const root = make("div", { class: "sheet time-off" });
  const id = uniqueId("time-off");
  const heading = make("summary", {});
  const body = make("div", {});
  const said = make("p", { class: "said", role: "status", "aria-live": "polite" });
  const unplaced = alertPlace();
  const notices = make("div", { class: "notices", "aria-live": "polite" });
  const fold = make("details", { class: "fold" }, heading, body, make("div", { class: "reply" }, notices, said, unplaced));
  root.append(make("section", { class: "card", "aria-labelledby": id }, fold));
  el.append(root);

  const back = takeBack({ say: (text, problems) => say(text, problems), notices, rest: () => body.querySelector('[data-focus="add"]') });
  said.after(back.press);

  let offer = null;
  let open = null; // the form: { ref, typed, touched }
  let last = Promise.resolve(); // one save after the other

  const say = (text, problems = []) => {
    said.textContent = text;
    tellAll(unplaced, problems);
  };

  const show = (next) => {
    const overIsOpen = body.querySelector("details")?.open ?? false;
    offer = next;
    if (open && open.ref !== NEW && !offer.rests.some(({ ref }) => ref === open.ref)) open = null;
    heading.replaceChildren(make("h2", { id, text: _("Time off") }), make("span", { class: "aside", text: offer.summary }));
    const over = offer.rests.filter(({ when }) => when === "over");
    const list = offer.rests.filter(({ when }) => when !== "over");
    keepingFocus(root, body, () => body.replaceChildren(
      make("p", { class: "hint", text: offer.closed || _("Days of illness or a holiday, in advance or afterwards. Habits rest: a streak is kept, and the days are in no rate.") }),
      make("ul", { class: "rows" }, list.map(line)),
      over.length ? make("details", { open: overIsOpen }, make("summary", { text: _("Over, {over}", { over: over.length }) }), make("ul", { class: "rows" }, over.map(line))) : "",
      offer.closed ? "" : open?.ref === NEW ? form(newTimeOff(offer)) : button(_("+ Add time off"), () => edit(newTimeOff(offer)), { class: "quiet", "data-focus": "add" }),
    ));
  };

  const focusOn = (name) => body.querySelector(`[data-focus="${CSS.escape(name)}"]`)?.focus({ preventScroll: true });

  const line = (rest) => {
    const press = (text, act, name) => button(text, act, { class: "quiet", "aria-label": `${text}, ${rest.said}`, "data-focus": `${name} ${rest.ref}` });
    return make(
      "li", { "aria-label": rest.said },
      make("span", { class: "name" }, make("span", { text: rest.said }), rest.reason && make("span", { class: "aside", text: rest.reason })),
      offer.closed ? null : make("span", { class: "presses" },
        rest.when === "now" && press(_("Back today"), () => save(sentTimeOff(offer, rest, "back")), "back"),
        press(_("Edit"), () => edit(rest), "edit"), press(_("Remove"), () => save(sentTimeOff(offer, rest, "remove")), "remove")),
      open?.ref === rest.ref && form(rest),
    );
  };

  const edit = (rest) => {
    const ref = rest.ref ?? NEW;
    open = open?.ref === ref ? null : { ref, typed: typedTimeOff(rest), touched: false };
    show(offer);
    (open ? body.querySelector(".panel input") : body.querySelector('[data-focus="add"]'))?.focus();
  };

  const form = (rest) => {
    const { typed } = open;
    const changed = () => { open.touched = true; };
    const what = rest.ref === null ? "add" : "edit";
    const text = (name, label, attributes) => {
      const field = make("input", { autocomplete: "off", value: typed[name], ...attributes });
      field.addEventListener("input", () => {
        typed[name] = field.value;
        changed();
      });
      return labelled(label, field, `off.${name}`);
    };
    return make(
      "div", { class: "panel", role: "group", "aria-label": rest.ref === null ? _("New time off") : _("Edit, {said}", { said: rest.said }) },
      make("div", { class: "days-asked" }, text("from", _("From"), { type: "date" }), text("until", _("Until"), { type: "date" })),
      habits(rest, typed, changed), text("reason", _("Reason, for you alone"), { type: "text" }),
      make("div", { class: "presses" }, button(_("Save the days"), () => save(sentTimeOff(offer, rest, what, typed)), { class: "save", "data-focus": "save" }), button(_("Cancel"), () => edit(rest), { class: "quiet" })),
    );
  };

  const habits = (rest, typed, changed) => {
    const options = [{ key: null, name: _("All habits") }, ...habitChoices(offer, rest)];
    const isChosen = (key) => (key === null ? !typed.habits.length : typed.habits.includes(key));
    const buttons = options.map(({ key, name }) => {
      const one = make("button", { type: "button", class: "toggle", text: name, "aria-pressed": String(isChosen(key)) });
      one.addEventListener("click", () => {
        typed.habits = toggledHabit(typed.habits, key);
        buttons.forEach((other, place) => other.setAttribute("aria-pressed", String(isChosen(options[place].key))));
        changed();
      });
      return one;
    });
    const group = make("div", { role: "group", "aria-label": _("Which habits"), class: "toggles", tabindex: "-1" }, buttons);
    return make("div", { class: "labelled" }, make("span", { class: "question", text: _("Which habits") }), group, problemSpot("off.habits", group));
  };

  const save = (sent) => {
    last = last.then(() => send(sent));
    return last;
  };

  const send = async (sent) => {
    clearProblems(root);
    say(_("Saving…"));
    const { answer, offer: after, failed, silent } = await channel.ask("save", sent);
    if (silent || !answer) return say(failed || _(SILENT));
    if (answer.saved) {
      back.after(answer, (of) => channel.ask("back", of), (now) => show(now));
      open = null;
      if (after) show(after);
      focusOn("add");
      return say(answer.said);
    }
    if (after) show(after);
    if (answer.conflict.length) return say(_("Not saved: this was changed elsewhere meanwhile. It is shown as it is now."));
    return say(_("Not saved."), showProblemsOf(body, "off", answer.problems));
  };

  channel.listen(({ offer: next }) => {
    if (next && !same(next, offer)) last = last.then(() => show(next));
  });
  const stopAsking = askBeforeLeaving(() => open?.touched);
  show(model.get("offer"));
  return () => {
    channel.close();
    stopAsking();
  };
}

export default { render };
