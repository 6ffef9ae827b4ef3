// Controls for the fields of a day: a scale in five colours, a number or a text.

import { fieldKey, fieldName } from "./day_fields.js";
import { choice, labelled, make, problemSpot } from "./elements.js";
import { _, numberText } from "./texts.js";

// Controls for fields, each with its error message below it. `typed` has their values, `path` is the prefix of their keys.
export function fieldControls(sheet, fields, typed, path = "") {
  return fields.map((field) => {
    if (field.control === "scale") return scale(sheet, field, typed, path);
    const input = fieldInput(sheet, field, typed, path);
    return labelled(fieldQuestion(field), input, path + fieldKey(field));
  });
}

// Fields side by side. Error messages are below the row, so that the fields stay aligned.
export function fieldRow(sheet, fields, typed, path) {
  const inputs = fields.map((field) => [field, fieldInput(sheet, field, typed, path)]);
  const row = make("div", { class: "weather" }, inputs.map(([field, input]) => labelled(fieldQuestion(field), input)));
  return make("div", {}, row, inputs.map(([field, input]) => problemSpot(path + fieldKey(field), input)));
}

const fieldQuestion = (field) => fieldName({ ...field, label: field.question });

function fieldInput(sheet, field, typed, path) {
  const key = fieldKey(field);
  const kind = field.control === "number" ? { inputmode: "decimal", class: "amount" } : {};
  const placeholder = field.example ? _("e.g. {example}", { example: field.example }) : null;
  const input = make("input", { type: "text", autocomplete: "off", value: typed[key], placeholder, ...kind });
  input.addEventListener("input", () => {
    typed[key] = input.value;
    sheet.changed(path + key);
  });
  return input;
}

function scale(sheet, field, typed, path) {
  const { steps, label } = field;
  const key = fieldKey(field);
  const options = steps.map((step, place) => {
    // Each step has the nearest of five colours. A scale without its own colours uses those of mood.
    const colour = steps.length > 1 ? Math.round((place / (steps.length - 1)) * 4) + 1 : 3;
    return {
      value: step.value,
      name: step.word ? `${numberText(step.value)} ${step.word}` : numberText(step.value),
      key: String(step.value),
      shown: [make("span", { class: "swatch" }), make("span", { class: "word", text: step.word ? `${numberText(step.value)} ${step.word}` : numberText(step.value) })],
      style: {
        "--fill": `var(--dusk-${key}-${colour}, var(--dusk-mood-${colour}))`,
        "--edge": `var(--dusk-${key}-edge-${colour}, var(--dusk-mood-edge-${colour}))`,
        "--level": `${colour * 20}%`, // as high as in the charts, where the reader's own colours have no steps
      },
    };
  });
  const group = choice({
    name: path + key, label, options, kind: "swatches", chosen: typed[key],
    choose: (value) => {
      typed[key] = value;
      sheet.changed(path + key);
    },
  });
  const question = make("p", { class: "question", id: `${path + key}-question`, text: field.question });
  return make("div", {}, question, group, problemSpot(path + key, group));
}
