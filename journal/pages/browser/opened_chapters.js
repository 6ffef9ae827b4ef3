// The chapters that a reader left open, by journal and page. They are in localStorage, so that they are open again at the
// next visit. It holds keys of chapters ("mood", "nights") and nothing of the journal.

const keyOf = (journal, page) => `duskbook ${journal} opened ${page}`;

export function loadOpened(journal, page, storage = globalThis.localStorage) {
  try {
    const kept = JSON.parse(storage.getItem(keyOf(journal, page)));
    return Array.isArray(kept) ? kept.filter((key) => typeof key === "string") : [];
  } catch {
    return []; // storage may be unavailable, or hold something else
  }
}

export function saveOpened(journal, page, opened, storage = globalThis.localStorage) {
  try {
    if (opened.length) storage.setItem(keyOf(journal, page), JSON.stringify(opened));
    else storage.removeItem(keyOf(journal, page));
  } catch {
    // Without storage the chapters are folded at the next visit.
  }
}
