// Will it fit: the tasks of tomorrow as estimated and as they may turn out, against its open time.

import { capacityParts } from "./capacity_parts.js";
import { card, make } from "./elements.js";

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
  return card("Will it fit?", "fit", bar, sentence, detail);
}

function draw(bar, now) {
  const { parts, label } = capacityParts(now);
  bar.replaceChildren(...parts.map(({ kind, left, width }) => {
    const made = make("span", { class: kind });
    made.style.left = `${left}%`;
    made.style.width = `${width}%`;
    return made;
  }));
  bar.setAttribute("aria-label", label);
}
