// Drafts: entered values that are not saved yet. They survive a reload and the end of the server. They are in the
// window's sessionStorage, so on this machine only, and gone when the window closes.

const DAYS_KEPT = 40; // more than anyone closes in one session

const keyOf = (journal, day) => `duskbook ${journal} ${day}`;

export function saveDraft(journal, offer, now) {
  try {
    sessionStorage.setItem(keyOf(journal, offer.day), JSON.stringify({ offer, now, saved: Date.now() }));
    removeOldest(journal, offer.day);
  } catch {
    // Storage may be unavailable, e.g. in a private window. The warning before leaving still works.
  }
}

// Removes the drafts of this journal that were saved longest ago, but not that of `day`. The storage may hold keys of
// other journals, and its own order is no order of time.
function removeOldest(journal, day) {
  const days = draftDays(journal);
  if (days.length <= DAYS_KEPT) return;
  const saved = Object.fromEntries(days.map((other) => [other, read(journal, other)?.saved ?? 0]));
  const oldest = days.filter((other) => other !== day).sort((a, b) => saved[a] - saved[b]);
  for (const other of oldest.slice(0, days.length - DAYS_KEPT)) dropDraft(journal, other);
}

export function dropDraft(journal, day) {
  try {
    sessionStorage.removeItem(keyOf(journal, day));
  } catch {
    // Without storage there is no draft.
  }
}

export function loadDraft(journal, day) {
  const draft = read(journal, day);
  return draft && { offer: draft.offer, now: draft.now };
}

function read(journal, day) {
  try {
    return JSON.parse(sessionStorage.getItem(keyOf(journal, day)));
  } catch {
    return null;
  }
}

export const draftDays = (journal) => draftNames(journal).filter((day) => /^\d{4}-/.test(day));

// The names of a journal's drafts: days, and "review 2025-W11" or "decide" of the forms that are not of a day.
export function draftNames(journal) {
  try {
    const start = keyOf(journal, "");
    return Object.keys(sessionStorage).filter((key) => key.startsWith(start)).map((key) => key.slice(start.length)).sort();
  } catch {
    return [];
  }
}
