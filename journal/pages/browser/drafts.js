// What is typed and not saved yet, kept by this window until it is: an accidental reload, or a journal whose server
// ended, loses nothing. It is kept in the window's sessionStorage, so on this machine only, and goes with the window.

const DAYS_KEPT = 40; // more days than anyone closes late in one sitting

const keyOf = (journal, day) => `duskbook ${journal} ${day}`;

export function saveDraft(journal, offer, now) {
  try {
    sessionStorage.setItem(keyOf(journal, offer.day), JSON.stringify({ offer, now }));
    if (sessionStorage.length > DAYS_KEPT) sessionStorage.removeItem(sessionStorage.key(0));
  } catch {
    // A window that keeps nothing (a private one may not): the warning before leaving is still there.
  }
}

export function dropDraft(journal, day) {
  try {
    sessionStorage.removeItem(keyOf(journal, day));
  } catch {
    // Nothing was kept then.
  }
}

export function loadDraft(journal, day) {
  try {
    return JSON.parse(sessionStorage.getItem(keyOf(journal, day)));
  } catch {
    return null;
  }
}

export function draftDays(journal) {
  try {
    const start = keyOf(journal, "");
    return Object.keys(sessionStorage).filter((key) => key.startsWith(start)).map((key) => key.slice(start.length)).filter((day) => /^\d{4}-/.test(day)).sort();
  } catch {
    return [];
  }
}
