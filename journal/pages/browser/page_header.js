// The header of the page: its title, and controls to open another day or fill in a month.

import { button, make } from "./elements.js";
import { monthName } from "./month_marks.js";
import { _ } from "./texts.js";

// `filling` is the month that is shown in place of an evening, or null.
export function pageHeader({ offer, filling, openDay, openMonth }) {
  const [title, below] = filling ? monthWords(filling.month) : eveningWords(offer);
  const ways = filling ? [monthPicker(filling.month, openMonth)] : dayPicker(offer, openDay);
  const over = filling
    ? button(_("Back to the evening"), () => openDay(offer.day))
    : button(_("Fill in a month"), () => openMonth(offer.day.slice(0, 7)));
  return [
    make("div", { class: "title" }, make("h1", { text: title }), make("p", { class: "quiet", text: below })),
    make("div", { class: "ways" }, ways, over),
  ];
}

function eveningWords(offer) {
  const files = offer.files.join(_(" and "));
  if (offer.day === offer.today) return [_("Close today, open tomorrow"), _("About ten minutes. Saved to {files}.", { files })];
  const { title } = offer;
  return [offer.tomorrow.asks === "carry" ? _("Close {title}", { title }) : _("Close {title}, open today", { title }), _("Closed late. Saved to {files}. {said}", { files, said: offer.tomorrow.said })];
}

function monthWords(key) {
  return [_("Fill in {month}", { month: monthName(key) }), _("Mood, habits and challenges by day, for days that were kept on paper. Saved once.")];
}

// The way from an evening to a coming day. No evening can close it yet.
// It can be closed already: the clock of the computer was ahead, or is behind now.
export function comingNotice({ day, title, closed }) {
  if (closed) {
    const link = make("a", { href: `../day/?on=${day}`, text: _("Its page") });
    return [_("{title} is closed already. It is still to come by the clock of this computer, so check the clock. ", { title }), link];
  }
  const link = make("a", { href: `../day/?on=${day}`, text: _("Plan {title}", { title }) });
  return [_("{title} is still to come, and an evening closes a day that is over. ", { title }), link];
}

function dayPicker(offer, openDay) {
  const days = make("select", { "aria-label": _("Day to close") });
  const known = [{ day: offer.today, title: offer.day === offer.today ? offer.title : _("Today"), logged: true }, ...offer.late];
  if (!known.some((choice) => choice.day === offer.day)) known.push({ day: offer.day, title: offer.title, logged: true });
  for (const choice of known) days.append(make("option", { value: choice.day, text: choice.logged ? choice.title : _("{title}, not closed", { title: choice.title }) }));
  days.append(make("option", { value: "other", text: _("Another day…") }));
  days.value = offer.day;
  const date = make("input", { type: "date", "aria-label": _("Another day to close"), hidden: true });
  date.addEventListener("change", () => date.value && openDay(date.value));
  days.addEventListener("change", () => {
    if (days.value !== "other") {
      openDay(days.value);
      return;
    }
    date.hidden = false;
    days.value = offer.day;
    date.focus();
  });
  return [days, date];
}

function monthPicker(key, openMonth) {
  const field = make("input", { type: "month", "aria-label": _("Month to fill in"), value: key });
  field.addEventListener("change", () => /^\d{4}-\d{2}$/.test(field.value) && openMonth(field.value));
  return field;
}
