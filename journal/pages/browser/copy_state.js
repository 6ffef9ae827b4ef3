// What the card of copies shows and sends, apart from its elements.

export function summaryOf(copies) {
  if (!copies.length) return "No copy of a page is left";
  return copies.length === 1 ? "A copy of a page lies in the folder" : `${copies.length} copies of pages lie in the folder`;
}

export function hintOf(copies) {
  const [them, it] = copies.length === 1 ? ["it", "its page"] : ["them", "their pages"];
  return `A program that synchronises folders has left ${them}, or a person. Nothing of ${them} counts until ${copies.length === 1 ? "it is" : "they are"} merged into ${it}.`;
}

// The decisions as they are sent: each with the value of the page that was shown. `picks` has "theirs", "mine" or "both" by field.
export function decisionsOf(view, picks) {
  return (view?.clashes ?? []).filter(({ field }) => picks[field]).map(({ field, file, theirs }) => ({ field, file, theirs, which: picks[field] }));
}

export const isDecided = (view, picks) => view.clashes.every(({ field }) => picks[field]);

export const linesOf = (view) => (view.changes.length ? view.changes : ["Nothing: the page has all of it already. The copy goes."]);
