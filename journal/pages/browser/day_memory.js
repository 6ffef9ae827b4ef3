// What a day's page remembers in this window until it closes: texts that are not saved yet, and the edits to undo.
// Both are in sessionStorage, as the drafts of the other forms.

const MOST_EDITS = 50; // more than a day has; each holds its pages twice, some kilobytes

const keyOf = (journal, name) => `duskbook ${journal} ${name}`;

function read(key, empty) {
  try {
    return JSON.parse(sessionStorage.getItem(key)) ?? empty;
  } catch {
    return empty;
  }
}

function write(key, value, isEmpty) {
  try {
    if (isEmpty) sessionStorage.removeItem(key);
    else sessionStorage.setItem(key, JSON.stringify(value));
  } catch {
    // Without storage the page forgets at a reload. The warning before leaving still works.
  }
}

// Texts that are not saved yet, by path, and the version of the page that each was begun on.
export function typedTexts(journal, day) {
  const key = keyOf(journal, `typed ${day}`);
  const { texts, begun } = { texts: {}, begun: {}, ...read(key, {}) };
  const keep = () => write(key, { texts, begun }, !Object.keys(texts).length);
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
export function editList(journal) {
  const key = keyOf(journal, "edits");
  const edits = read(key, []);
  const keep = () => write(key, edits, !edits.length);
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
