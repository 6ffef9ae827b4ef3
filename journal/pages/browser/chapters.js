// The chapters of a page: they open and close as native details. This module tells the notebook which are open, so that
// only these are drawn, and follows the links to chapters and other places of the page.

import { lastingValues } from "./browser_storage.js";
import { loadOpened, saveOpened } from "./opened_chapters.js";

const CHAPTER = "details[data-chapter]";
const TOGETHER = 30; // ms
const PATIENCE = 5000; // ms: drawing all chapters of a year takes about four seconds

function render({ model }) {
  const journal = model.get("journal");
  const page = model.get("page");
  const opened = new Set();
  let kept = null; // what the browser keeps; the chapters open and close without waiting for it
  let timer = 0;

  // One message for all chapters that open at the same time. Messages may overtake each other, so a chapter that stays
  // undrawn is told of again.
  const send = () => {
    clearTimeout(timer);
    timer = setTimeout(() => {
      model.set("opened", []); // a value that is the same as before would not be sent
      model.set("opened", [...opened]);
      model.save_changes();
      timer = setTimeout(() => document.querySelector(`${CHAPTER}[open] .drawing-now`) && send(), PATIENCE);
    }, TOGETHER);
  };

  // Opening and closing by any means: a press, a key, "Open all", a link, or the browser's search in the page.
  const toggled = ({ target }) => {
    const key = target.matches?.(CHAPTER) && target.dataset.chapter;
    if (!key || opened.has(key) === target.open) return;
    if (target.open) opened.add(key);
    else opened.delete(key);
    if (kept) saveOpened(journal, page, [...opened], kept);
    send();
  };

  // A chapter that the notebook does not draw is there from the start; the others come with their state from the notebook.
  const restore = () => {
    for (const chapter of document.querySelectorAll(CHAPTER)) if (opened.has(chapter.dataset.chapter)) chapter.open = true;
  };

  const pressed = (event) => {
    const every = event.target.closest?.("[data-every]")?.dataset.every;
    if (every) for (const chapter of document.querySelectorAll(CHAPTER)) chapter.open = every === "open";
    const link = event.target.closest?.("a[data-goes]");
    if (!link || event.ctrlKey || event.metaKey || event.shiftKey) return;
    event.preventDefault(); // the address stays that of the page and its period
    goTo(document.getElementById(link.dataset.goes));
  };

  document.addEventListener("toggle", toggled, true); // toggle does not bubble
  document.addEventListener("click", pressed);
  lastingValues.then((values) => {
    kept = values;
    for (const key of loadOpened(journal, page, kept)) opened.add(key);
    restore();
    if (opened.size) send();
  });
  return () => {
    clearTimeout(timer);
    document.removeEventListener("toggle", toggled, true);
    document.removeEventListener("click", pressed);
  };
}

// Shows a place of the page. A chapter opens, and its heading has the focus; a form has the focus in its first field.
function goTo(place) {
  if (!place) return;
  if (place.matches(CHAPTER)) place.open = true;
  const field = place.querySelector("summary") || place.querySelector("marimo-anywidget")?.shadowRoot?.querySelector("textarea, input");
  (field || place).focus({ preventScroll: true });
  place.scrollIntoView({ block: "start" });
}

export default { render };
