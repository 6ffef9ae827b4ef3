// Drafts: entered values that are not saved yet. They survive a reload and the end of the server. They are kept for this
// window, encrypted, so on this machine only, and gone when the window closes.

import { windowValues } from "./window_values.js";

const DAYS_KEPT = 40; // more than anyone closes in one session

const nameOf = (journal, day) => `${journal} ${day}`;

// `sent` is what of it is saved already, where the page does not show the files as they are since.
export function saveDraft(journal, offer, now, kept = windowValues, sent = null) {
  kept.set(nameOf(journal, offer.day), { offer, now, saved: Date.now(), ...(sent && { sent }) });
  removeOldest(journal, offer.day, kept);
}

// Removes the drafts of this journal that were saved longest ago, but not that of `day`. The storage may hold values of
// other journals, and its own order is no order of time.
function removeOldest(journal, day, kept) {
  const days = draftDays(journal, kept);
  if (days.length <= DAYS_KEPT) return;
  const saved = Object.fromEntries(days.map((other) => [other, kept.get(nameOf(journal, other))?.saved ?? 0]));
  const oldest = days.filter((other) => other !== day).sort((a, b) => saved[a] - saved[b]);
  for (const other of oldest.slice(0, days.length - DAYS_KEPT)) dropDraft(journal, other, kept);
}

export function dropDraft(journal, day, kept = windowValues) {
  kept.remove(nameOf(journal, day));
}

export function loadDraft(journal, day, kept = windowValues) {
  const draft = kept.get(nameOf(journal, day));
  return draft && { offer: draft.offer, now: draft.now, ...(draft.sent && { sent: draft.sent }) };
}

export const draftDays = (journal, kept = windowValues) => draftNames(journal, kept).filter((day) => /^\d{4}-/.test(day));

// The names of a journal's drafts: days, and "review 2025-W11" or "decide" of the forms that are not of a day.
export function draftNames(journal, kept = windowValues) {
  const start = nameOf(journal, "");
  return kept.names().filter((name) => name.startsWith(start)).map((name) => name.slice(start.length)).sort();
}
