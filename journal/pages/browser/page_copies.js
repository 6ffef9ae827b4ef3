// Copies of pages that lie in the folder: what each brings, with a choice where it and its page differ, and merging it.
// The card is there only while there is a copy, or a merge to take back.

import { openChannel } from "./channel.js";
import { decisionsOf, hintOf, isDecided, linesOf, summaryOf } from "./copy_state.js";
import { alertPlace, button, choice, make, tellAll, uniqueId } from "./elements.js";
import { same } from "./form_state.js";
import { takeBack } from "./take_back.js";
import { N_, _ } from "./texts.js";

const SILENT = N_("Nothing is done: the journal does not answer. If the command has ended, run it again; then reload this page.");

function render({ model, el }) {
  const channel = openChannel(model);
  const id = uniqueId("copies");
  const heading = make("h2", { id, tabindex: "-1" });
  const body = make("div", {});
  const said = make("p", { class: "said", role: "status", "aria-live": "polite" });
  const unplaced = alertPlace("refused");
  const notices = make("div", { class: "notices", "aria-live": "polite" });
  const card = make("section", { class: "card", "aria-labelledby": id }, heading, body, make("div", { class: "reply" }, notices, said, unplaced));
  const root = make("div", { class: "sheet copies" }, card);
  el.append(root);

  const back = takeBack({ say: (text, problems) => say(text, problems), notices, rest: () => heading });
  said.after(back.press);

  let offer = { copies: [] };
  let open = null; // the copy that is looked at: { path, view, picks }
  let last = Promise.resolve(); // one request after the other

  const say = (text, problems = []) => {
    said.textContent = text;
    tellAll(unplaced, problems);
    root.hidden = !offer.copies.length && !text && !problems.length;
  };

  const show = (next) => {
    const focus = root.contains(root.getRootNode().activeElement) ? root.getRootNode().activeElement.dataset.focus : null;
    offer = next;
    if (open && !offer.copies.some(({ path }) => path === open.path)) open = null;
    heading.textContent = summaryOf(offer.copies);
    body.replaceChildren(
      offer.copies.length ? make("p", { class: "hint", text: hintOf(offer.copies) }) : "",
      make("ul", { class: "rows" }, offer.copies.map(line)),
    );
    root.hidden = !offer.copies.length && !said.textContent;
    if (focus) body.querySelector(`[data-focus="${CSS.escape(focus)}"]`)?.focus({ preventScroll: true });
  };

  const line = (copy) => {
    const isOpen = open?.path === copy.path;
    return make(
      "li", {},
      make("span", { class: "name" }, make("span", { text: copy.title }), make("span", { class: "aside", text: copy.path })),
      button(isOpen ? _("Close") : _("Look at it"), () => (isOpen ? close() : look(copy.path, {})), { "aria-expanded": String(isOpen), "aria-label": isOpen ? _("Close the copy {path}", { path: copy.path }) : _("Look at the copy {path}", { path: copy.path }), "data-focus": copy.path }),
      isOpen && panel(copy),
    );
  };

  const close = () => {
    const { path } = open;
    open = null;
    show(offer);
    body.querySelector(`[data-focus="${CSS.escape(path)}"]`)?.focus();
  };

  const side = (title, lines) => make("div", {}, make("h3", { text: title }), lines.length ? make("ul", { class: "lines" }, lines.map((text) => make("li", { text }))) : make("p", { class: "empty", text: _("nothing more") }));

  const panel = ({ path }) => {
    const { view, picks } = open;
    const decided = isDecided(view, picks);
    const both = [...view.in_page, ...view.in_copy].length > 0;
    return make(
      "div", { class: "panel", role: "group", "aria-label": _("The copy {path}", { path }) },
      view.problem && make("p", { class: "wrong", text: _("It cannot be merged: {problem}.", { problem: view.problem }) }),
      view.known && make("p", { class: "hint", text: view.known }),
      both && make("div", { class: "sides" }, side(_("Only in the page"), view.in_page), side(_("Only in the copy"), view.in_copy)),
      view.otherwise.length > 0 && make("ul", { class: "lines" }, view.otherwise.map((text) => make("li", { text }))),
      view.clashes.length > 0 && make("h3", { text: _("Which stays?") }),
      view.clashes.map((clash) => chosen(clash)),
      make(
        "div", { "aria-live": "polite" },
        view.is_ready && make("h3", { text: _("Merging changes in the page") }),
        view.is_ready && make("ul", { class: "lines" }, linesOf(view).map((text) => make("li", { text }))),
        !view.is_ready && !view.problem && make("p", { class: "hint", text: _("Choose in each place. What merging then changes is shown here before anything is written.") }),
      ),
      make(
        "div", { class: "presses" },
        !view.problem && button(_("Merge"), () => change("merge"), { class: "save", disabled: !decided || !view.is_ready, "data-focus": "merge" }),
        button(_("Leave both as they are"), close, { class: "quiet" }),
        button(_("Put the copy away"), () => change("put_away"), { class: "quiet", "data-focus": "put_away" }),
      ),
      make("p", { class: "hint", text: _("Merged or put away, the text of the copy is kept among the earlier states of its page. Put away, the page stays as it is.") }),
    );
  };

  const chosen = (clash) => {
    const option = (value, name, text) => ({ value, name: `${name}: ${text}`, shown: [make("span", { class: "aside", text: name }), text] });
    const options = [option("theirs", _("In the page"), clash.in_page), option("mine", _("In the copy"), clash.in_copy)];
    if (clash.can_be_both) options.push({ value: "both", name: _("Both, one below the other") });
    const choose = (which) => look(open.path, { ...open.picks, [clash.field]: which });
    return make("div", { class: "labelled" }, make("span", { class: "question", text: clash.name }), choice({ name: `copy.${clash.field}`, label: clash.name, options, chosen: open.picks[clash.field] ?? null, choose, kind: "stays", must: true }));
  };

  const ask = (request, params) => {
    last = last.then(() => channel.ask(request, params));
    return last;
  };

  const look = async (path, picks) => {
    const isNew = open?.path !== path;
    const held = root.getRootNode().activeElement?.getAttribute?.("aria-label");
    const { view, failed, silent } = await ask("look", { path, resolve: decisionsOf(open?.view, picks) });
    if (silent || !view) return say(failed || _(SILENT));
    open = { path, view, picks };
    say("");
    show(offer);
    const radio = held && [...body.querySelectorAll("input")].find((one) => one.getAttribute("aria-label") === held && one.checked);
    if (radio) radio.focus({ preventScroll: true });
    else if (isNew) body.querySelector(`[data-focus="${CSS.escape(path)}"]`)?.focus({ preventScroll: true });
  };

  const change = async (request) => {
    const { path, view, picks } = open;
    say(_("Saving…"));
    const { answer, offer: after, failed, silent } = await ask(request, { path, seen: view.seen, resolve: decisionsOf(view, picks) });
    if (silent || !answer) return say(failed || _(SILENT));
    if (answer.saved) {
      back.after(answer, (of) => channel.ask("back", of), (now) => now && show(now));
      open = null;
      say(answer.said);
      if (after) show(after);
      return heading.focus({ preventScroll: true });
    }
    const problems = answer.problems.map(({ message }) => message);
    if (after) show(after);
    if (open) await look(path, {});
    return say(answer.said || _("Not merged."), problems);
  };

  channel.listen(({ offer: next }) => {
    if (!next || same(next, offer)) return;
    last = last.then(() => show(next));
  });
  show(model.get("offer"));
  return () => channel.close();
}

export default { render };
