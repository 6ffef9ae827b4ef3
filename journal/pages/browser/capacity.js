// Will it fit: the tasks of tomorrow as estimated and as they may turn out, against its open time.

import { card, make } from "./elements.js";
import { formatMinutes } from "./times.js";

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
  const given = (value) => (typeof value === "number" ? value : null);
  const [planned, expected, low, high, open, work] = ["planned", "expected", "low", "high", "room", "work"].map((key) => given(now[key]));
  const whole = Math.max(planned || 0, expected || 0, high || 0, open || 0, 1);
  const part = (kind, from, to) => {
    const made = make("span", { class: kind });
    made.style.left = `${(from / whole) * 100}%`;
    made.style.width = `${(Math.max(to - from, 0) / whole) * 100}%`;
    return made;
  };
  bar.replaceChildren(
    open !== null ? part("open", 0, open) : "",
    part("planned", 0, planned || 0),
    expected !== null && expected > (planned || 0) ? part("expected", planned || 0, expected) : "",
    low !== null && high !== null ? part("range", low, high) : "",
    open !== null ? part("end", open, open) : "",
  );
  const words = [`Planned ${formatMinutes(planned || 0)}`];
  if (expected !== null && expected !== planned) words.push(`expected ${formatMinutes(Math.round(expected))}`);
  if (low !== null && high !== null) words.push(`likely between ${formatMinutes(Math.round(low))} and ${formatMinutes(Math.round(high))}`);
  if (open !== null) words.push(work ? `room for ${formatMinutes(open)}, ${formatMinutes(work)} of it in work hours` : `open time ${formatMinutes(open)}`);
  bar.setAttribute("aria-label", `${words.join(", ")}.`);
}
