// Offers as the journal makes them, small; each is new, so that a test may change it.

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
    mood: { value: null, steps: [{ value: 1, word: "heavy" }, { value: 5, word: "bright" }] },
    energy: { value: 3, steps: [{ value: 3, word: "" }] },
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
      ranked: 3,
      weather: { sky: "cloudy", high: 11, low: null, unit: "C" },
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

export function aTask(id, title, change = {}) {
  return { ref: id, id, title, status: "open", rank: null, estimate: null, took: null, since: "2025-03-11", said: "", ...change };
}

// A key event as far as `keyboard.js` reads one.
export const pressed = (key, modifiers = {}) => ({ key, shiftKey: false, altKey: false, ctrlKey: false, metaKey: false, isComposing: false, ...modifiers });
