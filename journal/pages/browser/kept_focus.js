// Redraws a part of a page without losing the focus: the element of the same name gets it again, with its selection, so that
// whoever goes on typing goes on at the same place. Of several of a name it is the nearest. If there is none any more, the
// element at its place gets it, so that the keyboard goes on from there.

const nameOf = (element) => element.dataset.keep || element.getAttribute("aria-label") || element.dataset.field || element.id || element.textContent;
const FOCUSABLE = "button:not(:disabled), input:not(:disabled), textarea, select, summary, [tabindex]";

function trail(element) {
  const group = element.closest("[role=radiogroup]");
  return [group && group !== element ? nameOf(group) : "", nameOf(element)];
}

// `part` is redrawn by `redraw`; `root` has the shadow tree that knows the focus.
export function keepingFocus(root, part, redraw) {
  const focused = root.getRootNode().activeElement;
  const inside = focused && part.contains(focused);
  const before = inside ? { trail: trail(focused), at: [...part.querySelectorAll(FOCUSABLE)].indexOf(focused), from: focused.selectionStart, to: focused.selectionEnd } : null;
  redraw();
  if (!before) return;
  const focusable = [...part.querySelectorAll(FOCUSABLE)];
  const away = (element) => Math.abs(focusable.indexOf(element) - before.at);
  const [same] = focusable.filter((element) => trail(element).join("\n") === before.trail.join("\n")).sort((one, other) => away(one) - away(other));
  (same ?? focusable[Math.min(before.at, focusable.length - 1)])?.focus({ preventScroll: true });
  if (same && typeof before.from === "number" && same.setSelectionRange && same.type !== "checkbox") same.setSelectionRange(before.from, before.to);
}
