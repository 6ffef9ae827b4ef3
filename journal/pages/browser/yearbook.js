// The form of the year as a book: audience and paper, page previews, and files made on request.

import { button, card, choice, uniqueId, make } from "./elements.js";
import { pagePreviews } from "./page_previews.js";
import { openChannel } from "./channel.js";
import { same } from "./form_state.js";
import { _, _n, N_ } from "./texts.js";

const SILENT = N_("The journal does not answer. If the command has ended, run it again; then reload this page and ask again.");
const CHANGED = N_("The journal was changed since; show the pages again.");
const KEPT = 60000; // ms until a download's blob URL is revoked; the browser has read it by then

function render({ model, el }) {
  const channel = openChannel(model);
  let offer = model.get("offer");
  let chosen = { reader: "me", named: [], paper: "a5" };
  const busy = new Set();
  let reading = null; // the blob URL of the current reading page

  const status = () => make("p", { class: "said", role: "status" });
  const request = () => ({ ...chosen, year: offer.year, named: chosen.reader === "anyone" ? chosen.named : [] });

  // Runs one request at a time per key: a second press during the request is ignored.
  const once = async (what, of, place, work) => {
    const key = `${what} ${JSON.stringify(of)}`;
    if (busy.has(key)) return;
    busy.add(key);
    try {
      place.textContent = _("One moment…");
      place.textContent = await work((doing) => { if (doing) place.textContent = `${doing}…`; });
    } catch (fault) {
      place.textContent = _("It was made but could not be shown here.");
      throw fault;
    } finally {
      busy.delete(key);
    }
  };

  // Previews of the pages that `of` requests; `title` labels them. They close when the choice changes. Reopening is fast,
  // because the journal's process caches them.
  const previews = (of, title, facing) => {
    const place = status();
    const press = button("", () => look());
    let shown = null;
    const view = pagePreviews((page) => channel.ask("leaf", { ...shown, page }), facing);
    const look = () => once("show", of(), place, async (working) => {
      const [wanted, { number }] = [of(), offer];
      const answer = await channel.ask("show", wanted, working);
      if (!answer.pages) return answer.failed || _(SILENT);
      if (!same(wanted, of())) return "";
      if (number !== offer.number) return _(CHANGED);
      shown = wanted;
      view.show(answer.pages, title());
      return [_n("{count} page.", "{count} pages.", answer.pages.length), answer.missing].filter(Boolean).join(" ");
    });
    const close = (message) => {
      if (!shown) return;
      const inside = view.element.contains(view.element.getRootNode().activeElement);
      shown = null;
      view.close();
      place.textContent = message;
      if (inside) press.focus();
    };
    return { place, press, element: view.element, close, follow: () => shown && !same(shown, of()) && close("") };
  };

  const book = previews(request, () => _("The pages of the book: {year}, {reader}", { year: offer.year, reader: nameOf(offer.readers, chosen.reader) }), true);
  const sheets = previews(() => ({ what: "sheets", year: offer.year, paper: chosen.paper }), () => _("The sheets"), false);
  book.press.textContent = _("Show the book");
  book.press.className = "save";
  sheets.press.textContent = _("Show");

  const file = async (of, working) => {
    const answer = await channel.ask("file", of, working);
    if (!answer.file) return { message: answer.failed || answer.nothing || _(SILENT) };
    return { ...answer, url: URL.createObjectURL(new Blob([answer.file], { type: answer.media })) };
  };

  const save = (kind, place) => once("save", { ...request(), kind }, place, async (working) => {
    const saved = await file({ ...request(), kind }, working);
    if (saved.message) return saved.message;
    make("a", { href: saved.url, download: saved.name }).click();
    setTimeout(() => URL.revokeObjectURL(saved.url), KEPT);
    return [_("Saved as {name}, {size}, where your browser puts downloads.", saved), saved.missing].filter(Boolean).join(" ");
  });

  // The reading page opens by a link, because browsers block windows opened long after a press.
  const read = (place, after) => once("read", request(), place, async (working) => {
    const requested = request();
    const page = await file({ ...requested, kind: "html" }, working);
    if (page.message || !same(requested, request())) return page.message || "";
    revokeReading();
    reading = page.url;
    const link = make("a", { href: page.url, target: "_blank", rel: "noopener", text: _("Open the reading page in a tab of its own") });
    after.replaceChildren(link);
    link.focus();
    return "";
  });

  const revokeReading = () => {
    if (reading) URL.revokeObjectURL(reading);
    reading = null;
  };

  const row = (one) => {
    const place = one.kind === "sheets" ? sheets.place : status();
    const after = make("span", {});
    const presses = [button(_("Save"), () => save(one.kind, place), { "aria-label": _("Save: {name}", one) })];
    if (one.kind === "html") presses.unshift(button(_("Read it here"), () => read(place, after), { "aria-label": _("Read it here: {name}", one) }));
    if (one.kind === "sheets") presses.unshift(sheets.press);
    if (one.kind === "sheets") sheets.press.setAttribute("aria-label", _("Show: {name}", one));
    return make(
      "li", {}, make("span", { class: "name" }, make("span", { text: one.name }), make("span", { class: "aside", text: one.said })),
      make("span", { class: "presses" }, after, presses), place, one.kind === "sheets" && sheets.element,
    );
  };

  const list = (title, files) => {
    const id = uniqueId("files");
    return [make("h3", { id, text: title }), make("ul", { class: "rows", "aria-labelledby": id }, files.map(row))];
  };

  const question = (label, key, options) => {
    const hint = make("p", { class: "hint", id: uniqueId("hint") });
    const control = choice({
      name: key, label, options, kind: "chips", chosen: chosen[key], describedby: hint.id, must: true,
      choose: (value) => choose({ [key]: value }),
    });
    const say = () => { hint.textContent = options.find((one) => one.value === chosen[key]).said; };
    return { say, element: make("div", { class: "labelled" }, make("span", { class: "question", text: label }), control, hint) };
  };

  const note = make("p", { class: "hint" });
  const reader = question(_("Who may see it"), "reader", offer.readers);
  const paper = question(_("Paper"), "paper", offer.papers);
  const count = make("summary", {});
  const named = make("details", {}, count);
  const ofBook = make("div", {});
  const ofOwner = make("div", {});

  const habit = ({ value, name }) => {
    const box = make("input", { type: "checkbox", checked: chosen.named.includes(value) });
    box.addEventListener("change", () => {
      const others = chosen.named.filter((key) => key !== value);
      choose({ named: box.checked ? [...others, value].sort() : others });
    });
    return make("label", { class: "check" }, box, make("span", { text: name }));
  };

  // Renders the parts that depend on the choice (`draw`) and on the offer (`begin`).
  const draw = () => {
    revokeReading();
    reader.say();
    paper.say();
    named.hidden = chosen.reader !== "anyone" || !offer.habits.length;
    count.textContent = chosen.named.length ? _("Habits that keep their names, {count}", { count: chosen.named.length }) : _("Habits that keep their names, none");
    ofBook.replaceChildren(...list(_("Files {reader}", { reader: nameOf(offer.readers, chosen.reader) }), offer.files.filter((one) => one.book)));
  };
  const begin = () => {
    chosen.named = chosen.named.filter((key) => offer.habits.some((one) => one.value === key));
    note.textContent = _("Made on this machine from the pages of {year}, when you ask for it. A book of a full year takes some seconds.", offer);
    named.replaceChildren(count, ...offer.habits.map(habit));
    ofOwner.replaceChildren(...list(_("For you alone, whoever is chosen above"), offer.files.filter((one) => !one.book)));
    draw();
  };
  const choose = (change) => {
    chosen = { ...chosen, ...change };
    book.follow();
    sheets.follow();
    draw();
  };

  // Another year, or changed files: the previews are outdated.
  channel.listen(({ offer: next }) => {
    if (!next) return;
    const message = offer.year === next.year ? _(CHANGED) : "";
    const differs = !same({ ...offer, number: 0 }, { ...next, number: 0 });
    offer = next;
    book.close(message);
    sheets.close(message);
    if (differs) begin();
  });

  begin();
  const presses = make("div", { class: "presses" }, book.press, book.place);
  el.append(make("div", { class: "sheet yearbook" }, card(
    _("The year as a book"), "", note, reader.element, named, paper.element, presses, book.element, ofBook, ofOwner,
  )));
  return () => {
    channel.close();
    revokeReading();
  };
}

const nameOf = (options, value) => options.find((one) => one.value === value).name;

export default { render };
