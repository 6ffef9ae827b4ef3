// What the list of a page's states holds and shows, apart from its elements.

// The keys of the pages whose text is another than before.

import { _ } from "./texts.js";
export function changedPages(before, after) {
  const known = new Map(before.pages.map(({ key, now }) => [key, now]));
  return after.pages.filter(({ key, now }) => known.get(key) !== now).map(({ key }) => key);
}

// The list with the states that were asked for after some.
export const keptStates = (list, next, after) => (after && list ? { states: [...list.states, ...next.states], more: next.more } : next);

// What is looked at, as long as that state is listed and can still be brought back.
export const lookedAt = (open, list) => (list.states.some(({ ref, can_return }) => ref === open.ref && can_return) ? open : null);

export function linesOf({ changes, is_first }) {
  const lines = changes.length ? changes : [_("nothing in its values")];
  return is_first ? [_("the first state that is kept:"), ...lines] : lines;
}
