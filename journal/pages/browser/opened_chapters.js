// The chapters that a reader left open, by journal and page. They are kept from visit to visit, so that they are open again.

const nameOf = (journal, page) => `${journal} opened ${page}`;

export function loadOpened(journal, page, kept) {
  const opened = kept.get(nameOf(journal, page));
  return Array.isArray(opened) ? opened.filter((key) => typeof key === "string") : [];
}

export function saveOpened(journal, page, opened, kept) {
  if (opened.length) kept.set(nameOf(journal, page), opened);
  else kept.remove(nameOf(journal, page));
}
