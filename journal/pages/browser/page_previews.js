// Pages as small pictures, those of a book side by side as they will face each other, and one of them large.

import { button, make } from "./elements.js";
import { previewKey, turnKey } from "./keyboard.js";

// `large` asks for a page by its number and resolves with { picture }, the address that holds it, or { failed };
// `facing` says whether they are a book's.
export function pagePreviews(large, facing) {
  const strip = make("ol", { class: "leaves" });
  const back = button("← Earlier pages", () => leaf(-1));
  const on = button("Later pages →", () => leaf(1));
  const ways = make("div", { class: "presses" }, back, on);
  const hint = make("p", { class: "hint", text: "Press a page to see it large; the arrow keys go from one to the next." });
  const element = make("section", { class: "looked-at", "aria-label": "The pages", hidden: true }, ways, strip, hint);
  const view = viewer((number) => current(number, true));
  element.append(view.element);
  let pages = [];
  let seen = new Map(); // the large pictures by number

  const buttons = () => [...strip.querySelectorAll("button")];
  const leaf = (way) => strip.scrollBy({ left: way * strip.clientWidth * 0.9 });

  // The one page that the Tab key comes to.
  const current = (number, into = false) => {
    buttons().forEach((one, at) => { one.tabIndex = at + 1 === number ? 0 : -1; });
    const one = buttons()[number - 1];
    if (into) one?.scrollIntoView({ block: "nearest", inline: "center" });
    return one;
  };

  const open = async (number) => {
    const page = pages[number - 1];
    view.show(number, pages.length, page.said, seen.get(number) || page.picture);
    if (seen.has(number)) return;
    const of = pages;
    const answer = await large(number);
    if (of !== pages || !answer.picture) return;
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

  // Whether there is anywhere to go, once the pictures have their widths.
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
        const picture = make("img", { src: page.picture, alt: `Page ${number}, ${page.said}`, decoding: "async" });
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

// The numbers of pages that stand together. The first page of a book is a right one; then a left and a right one face
// each other.
export function pageGroups(pages, facing) {
  const groups = [];
  for (let number = 1; number <= pages; number += 1) {
    if (facing && number > 1 && number % 2) groups.at(-1).push(number);
    else groups.push([number]);
  }
  return groups;
}

// One page large, over everything else, until Escape or its button.
function viewer(left) {
  const where = make("p", { class: "where", role: "status" });
  const picture = make("img", { alt: "" });
  const frame = make("div", { class: "frame", tabindex: "0", role: "group", "aria-label": "The page" }, picture);
  const back = button("← Earlier page", () => turn(-1));
  const on = button("Later page →", () => turn(1));
  const away = button("Close", () => element.close());
  const element = make("dialog", { class: "large", "aria-label": "A page" }, make("div", { class: "presses" }, back, on, away, where), frame);
  const view = { element, open: () => {}, show, sharpen, close: () => element.close() };
  let at = 0;
  let of = 0;

  const turn = (way) => {
    if (at + way >= 1 && at + way <= of) view.open(at + way);
  };
  element.addEventListener("keydown", (event) => {
    const way = turnKey(event);
    if (!way) return;
    event.preventDefault();
    turn(way);
  });
  element.addEventListener("close", () => left(at)?.focus({ preventScroll: true }));

  function show(number, pages, said, small) {
    [at, of] = [number, pages];
    where.textContent = `Page ${number} of ${pages}, ${said}`;
    picture.alt = `Page ${number}, ${said}`;
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
