// What a day's page remembers in this window until it closes: texts that are not saved yet, and the edits to undo. Both are
// kept encrypted, as the drafts of the other forms.

import { windowValues } from "./window_values.js";

const MOST_EDITS = 50; // more than a day has; each holds its pages twice, some kilobytes

const nameOf = (journal, name) => `${journal} ${name}`;

// Texts that are not saved yet, by path, and the version of the page that each was begun on.
export function typedTexts(journal, day, kept = windowValues) {
  const name = nameOf(journal, `typed ${day}`);
  const { texts, begun } = { texts: {}, begun: {}, ...kept.get(name) };
  const keep = () => (Object.keys(texts).length ? kept.set(name, { texts, begun }) : kept.remove(name));
  return {
    texts,
    begun,
    put(path, text, base) {
      begun[path] ??= base;
      texts[path] = text;
      keep();
    },
    drop(path) {
      delete texts[path];
      delete begun[path];
      keep();
    },
  };
}

// The edits that can be undone, the newest last: { did, undo, day }.
export function editList(journal, kept = windowValues) {
  const name = nameOf(journal, "edits");
  const edits = kept.get(name) ?? [];
  const keep = () => (edits.length ? kept.set(name, edits) : kept.remove(name));
  return {
    add(edit) {
      edits.push(edit);
      edits.splice(0, Math.max(0, edits.length - MOST_EDITS));
      keep();
    },
    get last() {
      return edits.at(-1) ?? null;
    },
    get count() {
      return edits.length;
    },
    newest: (count) => edits.slice(-count).reverse(),
    drop() {
      edits.pop();
      keep();
    },
  };
}
