// What was typed here and changed elsewhere meanwhile: both values, and she chooses.

import { button, make } from "./elements.js";

export function conflictList(found, offer, settled) {
  const list = make("ul", { class: "differing" });
  const items = found.map((one) => {
    const done = (take, given = one.theirs) => {
      if (take) one.take(given);
      found.splice(found.indexOf(one), 1);
      item.remove();
      settled(found.length, take);
    };
    const item = make(
      "li", {}, make("strong", { text: one.name }),
      value("Yours", words(one, one.yours, offer), button("Keep mine", () => done(false), { "aria-label": `${one.name}: keep mine` })),
      value("In the file", words(one, one.theirs, offer), button("Take the file's", () => done(true), { "aria-label": `${one.name}: take the file's` })),
      WRITTEN.includes(one.field) && make("div", {}, button("Keep both", () => done(true, both(one)), { "aria-label": `${one.name}: keep both` })),
    );
    return item;
  });
  list.append(...items);
  return make(
    "section", { class: "notice", tabindex: "-1", "aria-label": "Changed elsewhere meanwhile" },
    make("h2", { text: "Changed elsewhere meanwhile" }),
    make("p", { text: "The files were changed since this page was opened, in the same places as here. Nothing is saved yet: choose what stays, then save." }),
    list,
  );
}

// What is written in words can stand beside the other; of all else there is one.
const WRITTEN = ["gratitude", "memory", "notes"];

function both({ yours, theirs }) {
  if (typeof theirs === "string") return [theirs, yours].filter((text) => text.trim()).join("\n");
  return [...new Set([...theirs, ...yours])].filter((line) => line.trim());
}

const value = (label, text, choose) => make("div", { class: "side" }, make("span", { class: "aside", text: label }), make("span", { class: "said", text }), choose);

function words({ field }, given, offer) {
  const [kind] = field.split(".");
  if (given === null || given === undefined || given === "") return "nothing";
  if (kind === "mood" || kind === "energy") {
    const step = offer[kind].steps.find((one) => one.value === given);
    return step ? `${step.value} ${step.word}` : String(given);
  }
  if (kind === "share") return given ? "yes" : "no";
  if (given === true) return "done";
  if (given === false) return "not done";
  if (Array.isArray(given)) {
    const parts = given.map((one) => (typeof one === "string" ? one : [one.start, one.end, one.title].filter(Boolean).join(" "))).filter(Boolean);
    return parts.join("\n") || "nothing";
  }
  return String(given);
}
