// Page previews as small pictures, in facing pairs for a book, and a viewer for one large page.

import { button, make } from "./elements.js";
import { previewKey, turnKey } from "./keyboard.js";
import { _ } from "./texts.js";

// `large` requests a page by its number and resolves with { picture }, a data URL, or { failed }; `facing` is true for
// the pages of a book.
export function pagePreviews(large, facing) {
  const strip = make("ol", { class: "leaves" });
  const back = button(_("← Earlier pages"), () => leaf(-1));
  const on = button(_("Later pages →"), () => leaf(1));
  const ways = make("div", { class: "presses" }, back, on);
  const hint = make("p", { class: "hint", text: _("Press a page to see it large; the arrow keys go from one to the next.") });
  const element = make("section", { class: "looked-at", "aria-label": _("The pages"), hidden: true }, ways, strip, hint);
  const view = viewer((number) => current(number, true));
  element.append(view.element);
  let pages = [];
  let seen = new Map(); // large pictures by page number

  const buttons = () => [...strip.querySelectorAll("button")];
  const leaf = (way) => strip.scrollBy({ left: way * strip.clientWidth * 0.9 });

  // Makes a page the only tab stop, and returns its button.
  const current = (number, into = false) => {
    buttons().forEach((preview, at) => { preview.tabIndex = at + 1 === number ? 0 : -1; });
    const preview = buttons()[number - 1];
    if (into) preview?.scrollIntoView({ block: "nearest", inline: "center" });
    return preview;
  };

  const open = async (number) => {
    const page = pages[number - 1];
    view.show(number, pages.length, page.said, seen.get(number) || page.picture);
    if (seen.has(number)) return;
    const requested = pages;
    const answer = await large(number);
    if (requested !== pages || !answer.picture) return;
    seen.set(number, answer.picture);
    view.sharpen(number, answer.picture);
  };
  view.open = open;

  strip.addEventListener("keydown", (event) => {
    const at = buttons().indexOf(event.target.closest("button")) + 1;
    const to = previewKey(event, at, pages.length);
    if (!to) return;
    event.preventDefault();
    current(to, true).focus({ preventScroll: true });
  });

  // Hides the buttons if all pages fit, which is known once the pictures have their widths.
  strip.addEventListener("load", () => { ways.hidden = strip.scrollWidth <= strip.clientWidth; }, true);

  return {
    element,
    show(next, title) {
      pages = next;
      seen = new Map();
      element.hidden = false;
      element.setAttribute("aria-label", title);
      strip.replaceChildren(...pageGroups(pages.length, facing).map((pair) => make("li", {}, pair.map((number) => {
        const page = pages[number - 1];
        const picture = make("img", { src: page.picture, alt: _("Page {number}, {said}", { number, said: page.said }), decoding: "async" });
        return make("button", { type: "button", class: "leaf", onclick: () => { current(number); open(number); } }, picture, make("span", { "aria-hidden": "true", text: String(number) }));
      }))));
      strip.scrollTo({ left: 0 });
      current(1);
    },
    close() {
      view.close();
      element.hidden = true;
      strip.replaceChildren();
      pages = [];
      seen = new Map();
    },
  };
}

// Groups of page numbers shown together. The first page of a book is a right-hand page; then pages face each other.
export function pageGroups(pages, facing) {
  const groups = [];
  for (let number = 1; number <= pages; number += 1) {
    if (facing && number > 1 && number % 2) groups.at(-1).push(number);
    else groups.push([number]);
  }
  return groups;
}

// A dialog with one large page. Escape or its button closes it.
function viewer(left) {
  const where = make("p", { class: "where", role: "status" });
  const picture = make("img", { alt: "" });
  const frame = make("div", { class: "frame", tabindex: "0", role: "group", "aria-label": _("The page") }, picture);
  const back = button(_("← Earlier page"), () => turn(-1));
  const on = button(_("Later page →"), () => turn(1));
  const away = button(_("Close"), () => element.close());
  const element = make("dialog", { class: "large", "aria-label": _("A page") }, make("div", { class: "presses" }, back, on, away, where), frame);
  const view = { element, open: () => {}, show, sharpen, close: () => element.close() };
  let at = 0;
  let total = 0;

  const turn = (way) => {
    if (at + way >= 1 && at + way <= total) view.open(at + way);
  };
  element.addEventListener("keydown", (event) => {
    const way = turnKey(event);
    if (!way) return;
    event.preventDefault();
    turn(way);
  });
  element.addEventListener("close", () => left(at)?.focus({ preventScroll: true }));

  function show(number, pages, caption, small) {
    [at, total] = [number, pages];
    where.textContent = _("Page {number} of {pages}, {said}", { number, pages, said: caption });
    picture.alt = _("Page {number}, {said}", { number, said: caption });
    picture.src = small;
    back.setAttribute("aria-disabled", String(number === 1));
    on.setAttribute("aria-disabled", String(number === pages));
    frame.scrollTo({ top: 0 });
    if (!element.open) element.showModal();
  }

  function sharpen(number, sharp) {
    if (number === at && element.open) picture.src = sharp;
  }

  return view;
}
