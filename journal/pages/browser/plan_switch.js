// The cards of the day that an evening opens. For a day closed late they can be folded away: hours that nobody touched are
// no plan then. What is typed is saved, folded or not.

import { make } from "./elements.js";
import { _ } from "./texts.js";

export function planSwitch(sheet, cards) {
  const { offer, now } = sheet;
  if (offer.day === offer.today) return cards;
  const whole = make(
    "details", { class: "plan-switch", open: now.plan }, make("summary", { text: _("Plan today as well") }),
    make("p", { class: "quiet", text: _("{said} Fold this away to leave today without a plan.", { said: offer.tomorrow.said }) }), cards,
  );
  whole.addEventListener("toggle", () => {
    if (whole.open === now.plan) return;
    now.plan = whole.open;
    sheet.changed("plan");
  });
  return [whole];
}
