// The top of a day's page: its title, the ways to other days, and the way to its evening.

import { button, make } from "./elements.js";
import { isClosing } from "./day_words.js";
import { _ } from "./texts.js";

const WEEKDAY = /^[^\s,]+/;

export function dayHeader(page, openDay) {
  const { offer } = page;
  const way = (day, title, text) => button(text, () => openDay(day), { "aria-label": title });
  const date = make("input", { type: "date", "aria-label": _("Another day"), value: offer.day });
  date.addEventListener("change", () => date.value && date.value !== offer.day && openDay(date.value));
  const ways = make(
    "div", { class: "ways" },
    way(offer.before, offer.before_title, `← ${offer.before_title.match(WEEKDAY)[0]}`),
    way(offer.after, offer.after_title, `${offer.after_title.match(WEEKDAY)[0]} →`),
    date,
    offer.kind === "today" ? null : button(_("Today"), () => openDay(offer.today)),
  );
  const title = make("div", { class: "title" }, make("h1", { tabindex: "-1", text: offer.title }), make("p", { class: "quiet", text: below(offer) }));
  return [title, ways, offer.kind !== "coming" && toEvening(page), problems(offer)].filter(Boolean);
}

function below(offer) {
  return offer.kind === "coming" ? _("Still to come. Saved to {file} as you go.", offer) : _("Saved to {file} as you go.", offer);
}

// A link to the evening of the day. It stands out from late afternoon on, or after the last planned hour.
function toEvening(page) {
  const link = make("a", { class: "to-evening", href: `../evening/?on=${page.offer.day}`, text: page.offer.closed ? _("Its evening") : _("Close this day") });
  page.onClosing = (minute) => link.classList.toggle("due", isClosing(page.offer, minute));
  page.onClosing(page.minute());
  return link;
}

function problems(offer) {
  if (!offer.problems.length) return null;
  return make("div", { class: "notice", role: "note" }, make("p", { text: _("Some of this day's files could not be read as meant:") }), make("ul", {}, offer.problems.map((text) => make("li", { text }))));
}
