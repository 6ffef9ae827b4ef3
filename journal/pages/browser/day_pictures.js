// The pictures of a day: dropped or chosen, each with its caption. Every change is saved as it is made.

import { openChannel } from "./channel.js";
import { typedTexts } from "./day_memory.js";
import { button, card, growingText, make, problemSpot, tell } from "./elements.js";
import { base64Of, otherCaption, pictureFiles, pictureName, refusals, takeDropped } from "./picture_files.js";
import { N_, _ } from "./texts.js";

const SILENT = N_("The journal does not answer, so it is not certain that this was saved. If the command has ended, run it again; then reload this page.");
const ACCEPTED = "image/jpeg,image/png,image/webp,image/heic,image/heif,.jpg,.jpeg,.png,.webp,.heic,.heif";

const notShown = (text) => make("p", { class: "not-shown", text });

function render({ model, el }) {
  const channel = openChannel(model);
  const journal = `${model.get("journal")} pictures`;
  const status = make("p", { class: "said", role: "status", "aria-live": "polite" });
  const unplaced = make("ul", { class: "unplaced", hidden: true });
  const backButton = button(_("Take back"), () => back());
  const bar = make("div", { class: "picture-bar" }, backButton, status);
  const list = make("ul", { class: "pictures" });
  const choose = make("input", { type: "file", accept: ACCEPTED, multiple: true, hidden: true, onchange: () => addAll([...choose.files]) });
  const press = button(_("Choose pictures"), () => choose.click());
  const hint = make("p", { class: "hint" });
  const drop = make("div", { class: "drop" }, make("span", { text: _("Drop pictures here, or") }), press, choose);
  const inside = card(_("Pictures"), "day-pictures", list, drop, hint, unplaced, bar);
  const root = make("div", { class: "sheet pictured" }, inside);
  el.append(root);

  let offer = model.get("offer");
  let typed = typedTexts(journal, offer.day);
  let saving = false;
  const undos = []; // the newest last
  const images = new Map(); // by their addresses

  const say = (text) => {
    status.textContent = text;
    const last = undos.at(-1);
    backButton.hidden = !last;
    backButton.setAttribute("aria-label", last ? _("Take back: {said}", { said: last.did }) : _("Take back"));
    bar.hidden = !text && !last;
  };

  const complain = (texts) => {
    unplaced.replaceChildren(...texts.map((text) => make("li", { text })));
    unplaced.hidden = !texts.length;
  };

  // The same element for the same picture, so that it is not loaded again when another one changes.
  const image = (address, alt, name) => {
    const element = images.get(address) ?? make("img", { src: address, loading: "lazy", onerror: () => element.replaceWith(notShown(_("{name} cannot be shown: it is damaged. Copy it again from where it came.", { name }))) });
    element.alt = alt;
    images.set(address, element);
    return element;
  };

  const row = (picture, place) => {
    const { name, caption, address, problem } = picture;
    const field = growingText({
      value: typed.texts[name] ?? caption, rows: 1, "aria-label": _("What is to be seen on picture {place}", { place: place + 1 }), placeholder: _("What is to be seen?"),
      oninput: () => typed.put(name, field.value, offer.base),
      onchange: () => saveCaption(name, field),
    });
    field.addEventListener("keydown", (event) => {
      if (event.key !== "Enter" || event.shiftKey || event.isComposing) return;
      event.preventDefault();
      saveCaption(name, field);
    });
    const alt = caption || _("Picture {place} of {title}, without a caption", { place: place + 1, title: offer.title });
    const shown = problem || !address ? notShown(problem || _("{name} cannot be shown.", { name })) : image(address, alt, name);
    const spot = problemSpot(name, field);
    return make("li", { "data-name": name }, make("figure", {}, shown, make("figcaption", {}, field, spot, !caption && make("p", { class: "aside", text: _("Without these words it is not read aloud to those who do not see it.") }))),
      button(_("Take off the page"), () => change("off", { name }, place), { class: "quiet", "aria-label": caption ? _("Take picture {place} off the page: {caption}", { place: place + 1, caption }) : _("Take picture {place} off the page", { place: place + 1 }) }));
  };

  const show = (next) => {
    const focused = root.getRootNode().activeElement;
    const held = focused?.closest?.("li[data-name]")?.dataset.name;
    const at = focused?.selectionStart;
    if (next.day !== offer.day) {
      typed = typedTexts(journal, next.day);
      undos.length = 0;
      images.clear();
      complain([]);
    }
    offer = next;
    list.replaceChildren(...offer.pictures.map(row));
    list.hidden = !offer.pictures.length;
    const full = offer.pictures.length >= offer.most;
    press.disabled = Boolean(offer.read_only) || full;
    hint.textContent = offer.read_only || (full ? _("This day has {most} pictures, the most that a day can have.", { most: offer.most }) : _("{kept} Pictures and captions are saved at once.", { kept: offer.kept }));
    if (focused?.tagName === "TEXTAREA" && held) {
      const field = rowOf(held)?.querySelector("textarea");
      field?.focus({ preventScroll: true });
      field?.setSelectionRange(at, at);
    }
  };

  const rowOf = (name) => [...list.children].find((item) => item.dataset.name === name);

  const ask = async (request, params) => {
    saving = true;
    try {
      const reply = await channel.ask(request, { day: offer.day, base: offer.base, ...params });
      return reply.silent || !reply.answer ? { failed: reply.failed || _(SILENT) } : reply;
    } finally {
      saving = false;
    }
  };

  // Keeps the way back, and shows the page as it is now. Returns whether it was saved.
  const settle = ({ answer, did, undo, offer: after, failed }) => {
    if (failed) {
      say(failed);
      return false;
    }
    if (undo) undos.push({ undo, did });
    if (after && after.day === offer.day) show(after);
    if (answer.saved) complain([]);
    return answer.saved;
  };

  async function change(request, params, place) {
    if (saving) return;
    say(_("Saving…"));
    const reply = await ask(request, params);
    if (settle(reply)) {
      say(reply.answer.said);
      (rowOf(offer.pictures[Math.min(place, offer.pictures.length - 1)]?.name)?.querySelector("textarea") || press).focus();
    } else if (!reply.failed) refused(reply.answer);
  }

  const refused = (answer) => {
    say(_("Not saved."));
    complain(refusals(answer));
  };

  async function saveCaption(name, field) {
    const picture = offer.pictures.find((one) => one.name === name);
    const text = field.value.trim();
    if (!picture || text === picture.caption) {
      typed.drop(name);
      return;
    }
    say(_("Saving…"));
    const reply = await ask("caption", { name, text, base: typed.begun[name] ?? offer.base });
    const theirs = reply.answer && otherCaption(reply.answer);
    if (reply.answer?.saved || theirs !== null) typed.drop(name);
    if (theirs !== null && reply.offer) typed.put(name, text, reply.offer.base); // saved again, it replaces the other
    if (settle(reply)) return say(reply.answer.said);
    if (reply.failed) return undefined;
    say(_("Not saved."));
    const spot = rowOf(name)?.querySelector(".wrong");
    const said = theirs === null ? refusals(reply.answer).join(" ") : _("It was changed elsewhere: “{theirs}”. Yours is still here; save it again to put it in its place.", { theirs });
    return spot ? tell(spot, said) : complain([said]);
  }

  async function addAll(files) {
    const { pictures, others } = pictureFiles(files);
    const wrong = others.map((name) => _("{name} is no picture in JPEG, PNG, WebP or HEIC. Save it as JPEG.", { name }));
    for (const [place, file] of pictures.entries()) {
      say(pictures.length > 1 ? _("Adding picture {place} of {pictures}…", { place: place + 1, pictures: pictures.length }) : _("Adding the picture…"));
      const reply = await ask("add", { name: pictureName(file), data: await base64Of(file) });
      if (!settle(reply)) wrong.push(...(reply.failed ? [`${file.name}: ${reply.failed}`] : refusals(reply.answer).map((text) => `${file.name}: ${text}`)));
      else if (place === pictures.length - 1) say(reply.answer.said);
    }
    choose.value = "";
    if (wrong.length) {
      complain(wrong);
      say(wrong.length < files.length ? _("Not all of them were added.") : _("Nothing was added."));
      return;
    }
    const first = offer.pictures.find((picture) => !picture.caption);
    if (pictures.length && first) rowOf(first.name)?.querySelector("textarea")?.focus(); // its caption is asked for
  }

  async function back() {
    if (saving || !undos.length) return;
    const { undo } = undos.at(-1);
    say(_("Taking back…"));
    const reply = await ask("back", { undo });
    if (reply.answer?.saved) undos.pop();
    if (settle({ ...reply, undo: "" })) say(reply.answer.said);
    else if (!reply.failed) refused(reply.answer);
    if (!undos.length) press.focus();
  }

  takeDropped(inside, drop, (files) => !press.disabled && !saving && addAll(files));

  channel.listen(({ offer: next }) => {
    if (next && !saving) show(next);
  });
  show(offer);
  say("");
  return () => channel.close();
}

export default { render };
