// What the card of copies shows and sends, apart from its elements.

import { _, _n } from "./texts.js";

export function summaryOf(copies) {
  if (!copies.length) return _("No copy of a page is left");
  return _n("A copy of a page lies in the folder", "{count} copies of pages lie in the folder", copies.length);
}

export function hintOf(copies) {
  return _n(
    "A program that synchronises folders has left it, or a person. Nothing of it counts until it is merged into its page.",
    "A program that synchronises folders has left them, or a person. Nothing of them counts until they are merged into their pages.",
    copies.length,
  );
}

// The decisions as they are sent: each with the value of the page that was shown. `picks` has "theirs", "mine" or "both" by field.
export function decisionsOf(view, picks) {
  return (view?.clashes ?? []).filter(({ field }) => picks[field]).map(({ field, file, theirs }) => ({ field, file, theirs, which: picks[field] }));
}

export const isDecided = (view, picks) => view.clashes.every(({ field }) => picks[field]);

export const linesOf = (view) => (view.changes.length ? view.changes : [_("Nothing: the page has all of it already. The copy goes.")]);
