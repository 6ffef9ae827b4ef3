// The header of the page: its title, and controls to open another day or fill in a month.

import { button, make } from "./elements.js";
import { monthName } from "./month_marks.js";

// `filling` is the month that is shown in place of an evening, or null.
export function pageHeader({ offer, filling, openDay, openMonth }) {
  const [title, below] = filling ? monthWords(filling.month) : eveningWords(offer);
  const ways = filling ? [monthPicker(filling.month, openMonth)] : dayPicker(offer, openDay);
  const over = filling
    ? button("Back to the evening", () => openDay(offer.day))
    : button("Fill in a month", () => openMonth(offer.day.slice(0, 7)));
  return [
    make("div", { class: "title" }, make("h1", { text: title }), make("p", { class: "quiet", text: below })),
    make("div", { class: "ways" }, ways, over),
  ];
}

function eveningWords(offer) {
  const files = offer.files.join(" and ");
  if (offer.day === offer.today) return ["Close today, open tomorrow", `About ten minutes. Saved to ${files}.`];
  const opens = offer.tomorrow.asks === "carry" ? "" : ", open today";
  return [`Close ${offer.title}${opens}`, `Closed late. Saved to ${files}. ${offer.tomorrow.said}`];
}

function monthWords(key) {
  return [`Fill in ${monthName(key)}`, "Mood, habits and challenges by day, for days that were kept on paper. Saved once."];
}

// The way from an evening to a coming day. No evening can close it yet.
// It can be closed already: the clock of the computer was ahead, or is behind now.
export function comingNotice({ day, title, closed }) {
  if (closed) {
    const link = make("a", { href: `../day/?on=${day}`, text: "Its page" });
    return [`${title} is closed already. It is still to come by the clock of this computer, so check the clock. `, link];
  }
  const link = make("a", { href: `../day/?on=${day}`, text: `Plan ${title}` });
  return [`${title} is still to come, and an evening closes a day that is over. `, link];
}

function dayPicker(offer, openDay) {
  const days = make("select", { "aria-label": "Day to close" });
  const known = [{ day: offer.today, title: offer.day === offer.today ? offer.title : "Today", logged: true }, ...offer.late];
  if (!known.some((choice) => choice.day === offer.day)) known.push({ day: offer.day, title: offer.title, logged: true });
  for (const choice of known) days.append(make("option", { value: choice.day, text: choice.logged ? choice.title : `${choice.title}, not closed` }));
  days.append(make("option", { value: "other", text: "Another day…" }));
  days.value = offer.day;
  const date = make("input", { type: "date", "aria-label": "Another day to close", hidden: true });
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
  const field = make("input", { type: "month", "aria-label": "Month to fill in", value: key });
  field.addEventListener("change", () => /^\d{4}-\d{2}$/.test(field.value) && openMonth(field.value));
  return field;
}
