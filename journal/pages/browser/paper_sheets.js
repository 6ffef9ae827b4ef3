// Sheets of paper, in a folded card: photographs are dropped or chosen and read. Each sheet is shown beside what it says, what
// is not clear is asked beside its picture, and nothing is written before a press.

import { openChannel } from "./channel.js";
import { alertPlace, button, labelled, make, tell, tellAll, uniqueId } from "./elements.js";
import { ACCEPTED, cropOf, saveWords, sent, sheetFiles } from "./paper_state.js";
import { base64Of, pictureName, takeDropped } from "./picture_files.js";
import { takeBack } from "./take_back.js";
import { N_, _ } from "./texts.js";

const SILENT = N_("The journal does not answer. If the command has ended, run it again; then reload this page.");

function render({ model, el }) {
  const channel = openChannel(model);
  const id = uniqueId("paper");
  const choose = make("input", { type: "file", accept: ACCEPTED, multiple: true, hidden: true, onchange: () => take([...choose.files]) });
  const press = button(_("Choose photographs"), () => choose.click());
  const drop = make("div", { class: "drop" }, make("span", { text: _("Drop photographs or scans of sheets here, or") }), press, choose);
  const hint = make("p", { class: "hint" });
  const said = make("p", { class: "said", role: "status", "aria-live": "polite" });
  const unplaced = alertPlace();
  const notices = make("div", { class: "notices", "aria-live": "polite" });
  const sheets = make("div", {});
  const questions = make("section", { "aria-label": _("What is not clear"), hidden: true });
  const keeps = make("section", { "aria-label": _("What stays as it is"), hidden: true });
  const save = button("", () => saveAll(), { class: "save" });
  const away = button(_("Put these aside"), () => clear(_("Nothing is written.")), { class: "quiet" });
  const presses = make("div", { class: "presses", hidden: true }, save, away);
  const heading = make("summary", {}, make("h2", { id, text: _("From paper") }), " ", make("span", { class: "aside", text: _("read a sheet that was filled in by hand") }));
  const fold = make("details", { class: "fold" }, heading, hint, drop, unplaced, sheets, questions, keeps, presses, make("div", { class: "reply" }, notices, said));
  const inside = make("section", { class: "card", "aria-labelledby": id }, fold);
  const root = make("div", { class: "sheet paper" }, inside);
  el.append(root);

  const back = takeBack({ say: (text, problems) => say(text, problems), notices, rest: () => press });
  said.after(back.press);

  let photographs = []; // what was read, in order
  let answers = {}; // by the keys of fields
  let kept = {}; // pictures of lines by hand, by day
  let latest = null;
  let busy = false;

  const say = (text, problems = []) => {
    said.textContent = text;
    tellAll(unplaced, problems);
  };

  const ask = async (request, params) => {
    const reply = await channel.ask(request, params);
    return reply.silent ? { failed: _(SILENT) } : reply;
  };

  const clear = (text) => {
    photographs = [];
    answers = {};
    kept = {};
    show(null);
    say(text);
    press.focus();
  };

  // The files one after the other, so that only one is in memory at a time.
  async function take(files) {
    if (busy || !files.length) return;
    busy = true;
    fold.open = true;
    const { chosen, told } = sheetFiles(files);
    for (const [place, file] of chosen.entries()) {
      say(chosen.length > 1 ? _("Reading {place} of {count}…", { place: place + 1, count: chosen.length }) : _("Reading…"), told);
      const reply = await ask("read", { name: pictureName(file), data: await base64Of(file) });
      if (reply.failed) told.push(reply.failed);
      else {
        told.push(...reply.told);
        if (reply.sheets.length) photographs.push(reply);
      }
    }
    choose.value = "";
    busy = false;
    await look(told);
    if (!photographs.length) say(_("No sheet was read."), told);
    else (questions.querySelector("select, input") || sheets.querySelector("h3"))?.focus();
  }

  async function look(told = []) {
    if (!photographs.length) return show(null);
    const offer = await ask("look", sent(photographs, answers));
    if (offer.failed) return say(offer.failed);
    show(offer);
    return say(offer.said, told);
  }

  const keep = (date, lines, isKept) => {
    if (isKept) kept[date] = lines;
    else delete kept[date];
    offerSave();
  };

  const sheet = ({ title, said: words, picture, days, date, lines }) => make("article", { class: "read" },
    make("h3", { tabindex: "-1" }, `${title} `, make("span", { class: "aside", text: words })),
    make("img", { src: picture, alt: _("{title}, as it was photographed", { title }) }),
    lines && make("div", { class: "by-hand" }, make("img", { src: lines, alt: _("The lines that are written by hand") }),
      make("label", { class: "check" }, make("input", { type: "checkbox", checked: date in kept, onchange: (event) => keep(date, lines, event.target.checked) }), make("span", { text: _("Keep these lines as a picture of the day") }))),
    days.length ? make("dl", { class: "days" }, days.flatMap(([day, texts]) => [make("dt", { text: day }), make("dd", { text: texts.join(" · ") })])) : make("p", { class: "empty", text: _("Nothing is marked on it.") }));

  const question = ({ key, title, looks, choices, expected }) => {
    const put = (event) => {
      answers[key] = event.target.value;
      tell(root.querySelector(`[data-spot="${CSS.escape(key)}"]`), "");
    };
    const options = [["", _("Leave it out")], ...choices].map(([value, text]) => make("option", { value, text }));
    const field = choices.length ? make("select", { onchange: put }, options) : make("input", { type: "text", autocomplete: "off", placeholder: expected, oninput: put });
    field.value = answers[key] ?? "";
    const crop = cropOf(photographs, key);
    return make("li", {}, crop && make("img", { src: crop, alt: _("The boxes of {title}", { title }) }), labelled(_("{title}: {looks}. What is it?", { title, looks }), field, key));
  };

  const show = (offer) => {
    sheets.replaceChildren(...photographs.flatMap((one) => one.sheets.map(sheet)));
    const asked = offer?.asked ?? [];
    questions.hidden = !asked.length;
    questions.replaceChildren(make("h3", { text: _("Not clear") }), make("ul", { class: "asked" }, asked.map(question)));
    const stays = offer?.kept ?? [];
    keeps.hidden = !stays.length;
    keeps.replaceChildren(make("h3", { text: _("Stays as it is") }), make("ul", { class: "keeps" }, stays.map((text) => make("li", { text }))));
    latest = offer;
    offerSave();
  };

  const offerSave = () => {
    presses.hidden = !photographs.length;
    const changes = { pages: latest?.pages ?? 0, asked: latest?.asked.length ?? 0, lines: Object.keys(kept).length };
    save.textContent = saveWords(changes);
    save.disabled = !Object.values(changes).some(Boolean);
  };

  async function saveAll() {
    if (busy) return;
    busy = true;
    say(_("Saving…"));
    const { answer, failed } = await ask("save", { ...sent(photographs, answers), lines: kept });
    busy = false;
    if (failed || !answer) return say(failed || _(SILENT));
    if (!answer.saved) {
      const apart = answer.problems.filter(({ field, message }) => {
        const spot = field && root.querySelector(`[data-spot="${CSS.escape(field)}"]`);
        if (spot) tell(spot, message);
        return !spot;
      });
      say(answer.said || _("Not saved."), apart.map(({ message }) => message));
      return root.querySelector("[aria-invalid]")?.focus();
    }
    clear(answer.said);
    return back.after(answer, (params) => ask("back", params), async () => {});
  }

  takeDropped(inside, drop, (files) => !press.disabled && take(files));

  const offered = ({ read_only: readOnly }) => {
    press.disabled = Boolean(readOnly);
    hint.textContent = readOnly || _("Sheets of a day, a month or a year, as JPEG, PNG or a scan in PDF. What a page has already stays, and nothing is written before you say so.");
  };
  channel.listen(({ offer }) => offer && offered(offer));
  offered(model.get("offer"));
  show(null);
  say("");
  return () => channel.close();
}

export default { render };
