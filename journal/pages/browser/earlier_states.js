// The earlier states of a page, in a folded card: when each was saved and by what, what it changed, and bringing one back.
// They are asked for when the card is opened.

import { openChannel } from "./channel.js";
import { alertPlace, button, make, tellAll, uniqueId } from "./elements.js";
import { same } from "./form_state.js";
import { changedPages, keptStates, linesOf, lookedAt } from "./states_list.js";
import { takeBack } from "./take_back.js";
import { N_, _ } from "./texts.js";

const SILENT = N_("Nothing is done: the journal does not answer. If the command has ended, run it again; then reload this page.");

function render({ model, el }) {
  const channel = openChannel(model);
  const id = uniqueId("earlier");
  const about = make("span", { class: "aside" });
  const body = make("div", {});
  const said = make("p", { class: "said", role: "status", "aria-live": "polite" });
  const unplaced = alertPlace("refused");
  const notices = make("div", { class: "notices", "aria-live": "polite" });
  const heading = make("summary", {}, make("h2", { id, text: _("Earlier states") }), " ", about);
  const fold = make("details", { class: "fold" }, heading, body, make("div", { class: "reply" }, notices, said, unplaced));
  const root = make("div", { class: "sheet earlier" }, make("section", { class: "card", "aria-labelledby": id }, fold));
  el.append(root);

  const back = takeBack({ say: (text, problems) => say(text, problems), notices, rest: () => heading });
  said.after(back.press);

  let offer = { pages: [] };
  let key = null; // the page whose states are listed
  let list = null; // { states, more } as far as they are listed
  let open = null; // the state that is looked at: { ref, view }
  let last = Promise.resolve(); // one request after the other

  const say = (text, problems = []) => {
    said.textContent = text;
    tellAll(unplaced, problems);
  };

  const ask = (request, params) => {
    last = last.then(() => channel.ask(request, params));
    return last;
  };

  const focusOn = (name) => body.querySelector(`[data-focus="${CSS.escape(name)}"]`)?.focus({ preventScroll: true });

  const show = () => {
    const active = root.getRootNode().activeElement;
    const focus = root.contains(active) ? active.dataset.focus : null;
    about.textContent = offer.pages.find((page) => page.key === key)?.title ?? "";
    body.replaceChildren(
      make("p", { class: "hint", text: _("Each save keeps the page as it was. What you bring back replaces the page as it is now, which is kept as well.") }),
      offer.pages.length > 1 ? pageChoice() : "",
      list === null ? "" : list.states.length ? make("ol", { class: "rows" }, list.states.map(line)) : make("p", { class: "empty", text: _("No state of this page is kept.") }),
      list?.more ? button(_("Show {count} more of {more}", { count: Math.min(list.more, 15), more: list.more }), () => load(list.states.length), { class: "quiet", "data-focus": "more" }) : "",
    );
    if (focus) focusOn(focus);
  };

  const pageChoice = () => {
    const choose = () => {
      [key, list, open] = [select.value, null, null];
      load(0);
    };
    const select = make("select", { "aria-label": _("Page"), onchange: choose, "data-focus": "page" }, offer.pages.map((page) => make("option", { value: page.key, text: page.title })));
    select.value = key;
    return make("div", { class: "ways" }, select);
  };

  const line = (state) => {
    const isOpen = open?.ref === state.ref;
    const press = () => (isOpen ? close(state.ref) : look(state.ref));
    return make(
      "li", {},
      make("div", { class: "name" }, make("span", { text: state.when }), make("span", { class: "aside", text: state.is_now ? _("{by}, as it is now", { by: state.by }) : state.by })),
      state.can_return && button(isOpen ? _("Close") : _("Bring back…"), press, { class: "quiet", "aria-expanded": String(isOpen), "aria-label": isOpen ? _("Close the state of {when}", { when: state.when }) : _("Bring back the state of {when}", { when: state.when }), "data-focus": state.ref }),
      make("ul", { class: "changes" }, linesOf(state).map((text) => make("li", { text }))),
      isOpen && panel(state),
    );
  };

  const panel = (state) => make(
    "div", { class: "panel", role: "group", "aria-label": _("The state of {when}", { when: state.when }) },
    make("h3", { text: _("Bringing it back changes in the page") }),
    make("ul", { class: "lines" }, open.view.changes.map((text) => make("li", { text }))),
    make("div", { class: "presses" }, button(_("Bring it back"), () => bring(state), { class: "save", "data-focus": "bring" }), button(_("Cancel"), () => close(state.ref), { class: "quiet" })),
  );

  const close = (ref) => {
    open = null;
    show();
    focusOn(ref);
  };

  const load = async (after) => {
    const asked = key;
    if (asked === null) return;
    const { list: next, failed, silent } = await ask("states", { key, after });
    if (asked !== key) return;
    if (silent || !next) return say(failed || _(SILENT));
    list = keptStates(list, next, after);
    if (open) open = lookedAt(open, list);
    show();
  };

  const look = async (ref) => {
    const { view, failed, silent } = await ask("look", { key, ref });
    if (silent || !view) return say(failed || _(SILENT));
    open = { ref, view };
    say("");
    show();
    focusOn("bring");
  };

  const bring = async ({ ref }) => {
    say(_("Saving…"));
    const { answer, failed, silent } = await ask("bring", { key, ref, seen: open.view.seen });
    if (silent || !answer) return say(failed || _(SILENT));
    const problems = answer.problems.map(({ message }) => message);
    if (!answer.saved) {
      say(_("Not brought back."), problems);
      await load(0);
      return open && look(ref);
    }
    back.after(answer, (of) => channel.ask("back", of), () => load(0));
    open = null;
    say(answer.said);
    await load(0);
    back.press.focus({ preventScroll: true });
  };

  const follow = (next) => {
    const isChanged = changedPages(offer, next).includes(key);
    offer = next;
    if (!offer.pages.some((page) => page.key === key)) {
      [key, list, open] = [offer.pages[0]?.key ?? null, null, null];
      back.forget();
      say("");
    }
    show();
    if (fold.open && (isChanged || list === null)) load(0);
  };

  fold.addEventListener("toggle", () => fold.open && list === null && load(0));
  channel.listen(({ offer: next }) => next && !same(next, offer) && follow(next));
  follow(model.get("offer"));
  return () => channel.close();
}

export default { render };
