// The card "Will it fit?": tomorrow's tasks, as planned and as expected, against its open time.

import { capacityParts } from "./capacity_parts.js";
import { card, make } from "./elements.js";
import { _ } from "./texts.js";

export function capacity(sheet) {
  const bar = make("div", { class: "fit-bar", role: "img" });
  const sentence = make("p", { class: "fit-sentence", role: "status" });
  const detail = make("p", { class: "quiet" });
  sheet.onFit = (now) => {
    sentence.textContent = now.sentence || "";
    detail.textContent = now.detail || "";
    draw(bar, now);
  };
  sheet.onFit(sheet.offer.fit);
  return card(_("Will it fit?"), "fit", bar, sentence, detail);
}

function draw(bar, now) {
  const { parts, label } = capacityParts(now);
  bar.replaceChildren(...parts.map(({ kind, left, width }) => {
    const element = make("span", { class: kind });
    element.style.left = `${left}%`;
    element.style.width = `${width}%`;
    return element;
  }));
  bar.setAttribute("aria-label", label);
}
