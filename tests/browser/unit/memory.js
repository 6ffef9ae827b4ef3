import { keptValues } from "../../../journal/pages/browser/kept_values.js";

// Values that are kept as long as a test.
export const memory = () => keptValues(null, null);

// A storage of the browser, in memory. Its keys can be listed, as those of the real one.
export function storage(broken = {}) {
  const methods = {
    getItem(key) { return this[key] ?? null; },
    setItem(key, value) { this[key] = String(value); },
    removeItem(key) { delete this[key]; },
    ...broken,
  };
  return Object.create(methods);
}
