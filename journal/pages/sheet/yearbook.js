// The year as a book: who may see it and on which paper, a look at its pages, and its files, made when asked for.

import { button, card, choice, fresh, make } from "./make.js";
import { leaves } from "./leaves.js";
import { lineTo } from "./line.js";
import { same } from "./state.js";

const SILENT = "The journal does not answer. See that the command still runs, then ask again.";
const CHANGED = "The journal was changed since; show the book again.";
const KEPT = 60000; // ms in which a browser has taken over a file that it was given

function render({ model, el }) {
  const line = lineTo(model);
  let offer = model.get("offer");
  let chosen = { reader: "me", named: [], paper: "a5" };
  let shown = null; // what was asked for of the book that is looked at
  const busy = new Set();
  let reading = null; // the address of the reading page that can be opened

  const root = make("div", { class: "sheet yearbook" });
  const note = make("p", { class: "hint" });
  const reader = make("div", { class: "labelled" });
  const named = make("details", {});
  const paper = make("div", { class: "labelled" });
  const said = make("p", { class: "said", role: "status" });
  const show = button("Show the book", () => look(), { class: "save" });
  const book = leaves((page) => line.ask("leaf", { ...shown, page }));
  const ofBook = make("div", {});
  const ofOwner = make("div", {});
  root.append(card("The year as a book", "", note, reader, named, paper, make("div", { class: "presses" }, show, said), book.element, ofBook, ofOwner));
  el.append(root);

  const asked = () => ({ ...chosen, year: offer.year, named: chosen.reader === "anyone" ? chosen.named : [] });

  // Another choice is another book: what is looked at goes, what was made of it is kept and quickly there again.
  const changed = () => {
    if (shown && !same(shown, asked())) {
      shown = null;
      book.close();
      said.textContent = "";
    }
    draw();
  };

  // Each thing once at a time: a second press while it is being made asks for nothing.
  const once = async (key, place, work) => {
    if (busy.has(key)) return;
    busy.add(key);
    try {
      place.textContent = "One moment…";
      place.textContent = await work((doing) => { if (doing) place.textContent = `${doing}…`; });
    } finally {
      busy.delete(key);
    }
  };

  const look = () => once(`show ${JSON.stringify(asked())}`, said, async (working) => {
    const of = asked();
    const { number } = offer;
    const answer = await line.ask("show", of, working);
    if (!answer.pages) return answer.failed || SILENT;
    if (!same(of, asked())) return "";
    if (number !== offer.number) return CHANGED;
    shown = of;
    book.show(answer.pages, `${offer.year}, ${nameOf(offer.readers, of.reader)}`);
    return [`${answer.pages.length} pages.`, answer.missing].filter(Boolean).join(" ");
  });

  const file = async (kind, working) => {
    const answer = await line.ask("file", { ...asked(), kind }, working);
    if (!answer.file) return { told: answer.failed || answer.nothing || SILENT };
    return { ...answer, url: URL.createObjectURL(new Blob([answer.file], { type: answer.media })) };
  };

  const save = (one, place) => once(`${one.kind} ${JSON.stringify(asked())}`, place, async (working) => {
    const made = await file(one.kind, working);
    if (made.told) return made.told;
    make("a", { href: made.url, download: made.name }).click();
    setTimeout(() => URL.revokeObjectURL(made.url), KEPT);
    return [`Saved as ${made.name}, ${made.size}, where your browser puts downloads.`, made.missing].filter(Boolean).join(" ");
  });

  // The reading page opens by a link, since a browser lets no page open a window long after a press.
  const read = (one, place, after) => once(`read ${JSON.stringify(asked())}`, place, async (working) => {
    const of = asked();
    const made = await file(one.kind, working);
    if (made.told || !same(of, asked())) return made.told || "";
    letGo();
    reading = made.url;
    const link = make("a", { href: made.url, target: "_blank", rel: "noopener", text: "Open the reading page in a tab of its own" });
    after.replaceChildren(link);
    link.focus();
    return "";
  });

  const letGo = () => {
    if (reading) URL.revokeObjectURL(reading);
    reading = null;
  };

  const row = (one) => {
    const place = make("p", { class: "said", role: "status" });
    const after = make("span", {});
    const name = one.name.toLowerCase();
    const presses = [button("Save", () => save(one, place), { "aria-label": `Save: ${one.name}` })];
    if (one.kind === "html") presses.unshift(button("Read it here", () => read(one, place, after), { "aria-label": `Read it here: ${name}` }));
    return make(
      "li", {}, make("span", { class: "name" }, make("span", { text: one.name }), make("span", { class: "aside", text: one.said })),
      make("span", { class: "presses" }, after, presses), place,
    );
  };

  const list = (title, files) => {
    const id = fresh("files");
    return [make("h3", { id, text: title }), make("ul", { class: "rows", "aria-labelledby": id }, files.map(row))];
  };

  // What follows from what is chosen.
  const draw = () => {
    letGo();
    note.textContent = `Made on this machine from the pages of ${offer.year}, when you ask for it. A book of a full year takes some seconds.`;
    reader.querySelector(".hint").textContent = offer.readers.find((one) => one.value === chosen.reader).said;
    paper.querySelector(".hint").textContent = offer.papers.find((one) => one.value === chosen.paper).said;
    named.hidden = chosen.reader !== "anyone" || !offer.habits.length;
    named.querySelector("summary").textContent = `Habits that keep their names, ${chosen.named.length || "none"}`;
    ofBook.replaceChildren(...list(`Files ${nameOf(offer.readers, chosen.reader)}`, offer.files.filter((one) => one.book)));
  };

  const question = (place, label, key, options) => {
    const hint = make("p", { class: "hint", id: fresh("hint") });
    const control = choice({
      name: key, label, options, kind: "chips", chosen: chosen[key], describedby: hint.id, must: true,
      choose: (value) => {
        chosen = { ...chosen, [key]: value };
        changed();
      },
    });
    place.replaceChildren(make("span", { class: "question", text: label }), control, hint);
  };

  const habits = () => named.replaceChildren(make("summary", {}), ...offer.habits.map((habit) => {
    const box = make("input", { type: "checkbox", checked: chosen.named.includes(habit.value) });
    box.addEventListener("change", () => {
      chosen = { ...chosen, named: offer.habits.map((one) => one.value).filter((key) => (key === habit.value ? box.checked : chosen.named.includes(key))) };
      changed();
    });
    return make("label", { class: "check" }, box, make("span", { text: habit.name }));
  }));

  const begin = () => {
    chosen.named = chosen.named.filter((key) => offer.habits.some((one) => one.value === key));
    habits();
    ofOwner.replaceChildren(...list("For you alone, whoever is chosen above", offer.files.filter((one) => !one.book)));
  };

  // Another year, or the files were changed: what is looked at is no longer theirs.
  line.listen(({ offer: next }) => {
    if (!next) return;
    const told = shown && offer.year === next.year ? CHANGED : "";
    const inside = book.element.contains(root.getRootNode().activeElement);
    const differs = !same({ ...offer, number: 0 }, { ...next, number: 0 });
    offer = next;
    shown = null;
    book.close();
    if (inside) show.focus();
    if (differs) {
      begin();
      draw();
    }
    if (!busy.size) said.textContent = told;
  });

  question(reader, "Who may see it", "reader", offer.readers);
  question(paper, "Paper", "paper", offer.papers);
  begin();
  draw();
  return () => {
    line.close();
    letGo();
  };
}

const nameOf = (options, value) => options.find((one) => one.value === value).name;

export default { render };
