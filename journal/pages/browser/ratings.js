// How the day was: mood and energy, five colours from night to daylight, each with its word.

import { choice, make, problemSpot } from "./elements.js";

export function ratings(sheet) {
  const parts = [scale(sheet, "mood", "How was it?")];
  if (sheet.offer.energy) parts.push(scale(sheet, "energy", "How much strength was there?"));
  return make("div", { class: "feel" }, parts);
}

function scale(sheet, key, question) {
  const { steps } = sheet.offer[key];
  const id = `${key}-question`;
  const options = steps.map((step, place) => {
    // Five colours for any number of steps, the nearest one for each.
    const colour = steps.length > 1 ? Math.round((place / (steps.length - 1)) * 4) + 1 : 3;
    return {
      value: step.value,
      name: step.word ? `${step.value} ${step.word}` : String(step.value),
      key: String(step.value),
      shown: [make("span", { class: "swatch" }), make("span", { class: "word", text: step.word ? `${step.value} ${step.word}` : step.value })],
      style: { "--fill": `var(--dusk-${key}-${colour})`, "--edge": `var(--dusk-${key}-edge-${colour})` },
    };
  });
  const label = key[0].toUpperCase() + key.slice(1);
  const group = choice({
    name: key, label, options, kind: "swatches", chosen: sheet.now[key],
    choose: (value) => {
      sheet.now[key] = value;
      sheet.changed(key);
    },
  });
  return make("div", {}, make("p", { class: "question", id, text: question }), group, problemSpot(key, group));
}
