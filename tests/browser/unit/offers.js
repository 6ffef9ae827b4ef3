// Small offers in the format of the journal. Each call returns a new one, which a test may change.

export const CATEGORIES = [
  { key: "sleep", name: "Sleep", colour: "#332288", sleep: true },
  { key: "workshop", name: "Workshop", colour: "#88CCEE", work: true },
  { key: "away", name: "Away 2", colour: "#DDCC77" },
];

export function anOffer(change = {}, ofTomorrow = {}) {
  return {
    base: "base-1",
    day: "2025-03-13",
    today: "2025-03-13",
    title: "Thursday 13 March",
    clock: 24,
    categories: CATEGORIES,
    fields: [
      aField("mood", "Mood", { control: "scale", value: null, steps: [{ value: 1, word: "heavy" }, { value: 5, word: "bright" }] }),
      aField("energy", "Energy", { control: "scale", value: 3, steps: [{ value: 3, word: "" }] }),
      aField("steps", "Steps", { control: "number", value: 8000, low: 0 }),
    ],
    planned_fields: [
      aField("weather.sky", "Sky", { value: "fog" }),
      aField("weather.high", "High", { control: "number", value: 9, unit: "°C" }),
    ],
    appointments: [],
    habits: [
      { key: "walk", name: "Walk", kind: "plain", mark: null, due: true },
      { key: "read", name: "Read", kind: "counted", mark: 12, target: 20, unit: "pages", aim: "at least", due: true },
    ],
    challenges: [{ key: "letters", name: "Letters", ticked: null }],
    gratitude: ["Bread"],
    gratitude_lines: 2,
    memory: "",
    share: false,
    notes: [],
    actual: { sleep: ["00:00-06:15"] },
    actual_from_plan: true,
    planned: {},
    tasks: [aTask("t1", "Quote"), aTask("t2", "Invoice")],
    tomorrow: {
      day: "2025-03-14",
      asks: "plan",
      ranked: 3,
      fields: [
        aField("weather.sky", "Sky", { value: "cloudy" }),
        aField("weather.high", "High", { control: "number", value: 11, unit: "°C" }),
        aField("weather.low", "Low", { control: "number", unit: "°C" }),
      ],
      appointments: [],
      planned: { workshop: ["13:30-17:00", "09:00-12:30"], sleep: ["22:30-24:00"] },
      tasks: [{ ...aTask("n1", "Corners"), rank: 2, estimate: 45 }, { ...aTask("n2", "Glue"), rank: 1, estimate: null }],
      undated: [],
      routines: [],
      ...ofTomorrow,
    },
    ...change,
  };
}

export function aField(path, label, change = {}) {
  return { path: path.split("."), label, question: label, unit: "", example: "", control: "text", steps: [], value: null, low: null, high: null, ...change };
}

// A field by its path in the submitted form: "mood", "weather.sky" or "tomorrow.weather.sky".
export function fieldOf(offer, path) {
  const fields = path.startsWith("tomorrow.") ? offer.tomorrow.fields : [...offer.fields, ...offer.planned_fields];
  return fields.find((one) => one.path.join(".") === path.replace(/^tomorrow\./, ""));
}

// A file that cannot be read, of a part of the form.
export const aBroken = (part) => ({ part, path: `${part}.toml`, problem: `${part}.toml:2: expected a value.`, said: "Nothing can be saved to it until then." });

export function aTask(id, title, change = {}) {
  return { ref: id, id, title, status: "open", rank: null, estimate: null, took: null, since: "2025-03-11", said: "", ...change };
}

// A key event with the properties that `keyboard.js` reads.
export const pressed = (key, modifiers = {}) => ({ key, shiftKey: false, altKey: false, ctrlKey: false, metaKey: false, isComposing: false, ...modifiers });

// A review of a week: prompts that are asked with their answers, answers whose prompt is not asked, and what else is set.
export function review(asked, unasked = {}, set = {}) {
  const questions = (answers, isAsked) => Object.entries(answers).map(([prompt, answer]) => ({ ref: prompt, prompt, answer, asked: isAsked }));
  return {
    period: "2025-W11", kind: "week", title: "Week 11", path: "2025/2025-W11.toml", base: "base", closed: "", prompts_closed: "", problems: [],
    questions: [...questions(asked, true), ...questions(unasked, false)], notes: [], ...set,
  };
}
