// Redraws a part of a page without losing the focus: the element of the same name gets it again, with its selection.

const nameOf = (element) => element.getAttribute("aria-label") || element.id || element.textContent;

function trail(element) {
  const group = element.closest("[role=radiogroup]");
  return [group && group !== element ? nameOf(group) : "", nameOf(element)];
}

// `part` is redrawn by `redraw`; `root` has the shadow tree that knows the focus.
export function keepingFocus(root, part, redraw) {
  const focused = root.getRootNode().activeElement;
  const inside = focused && part.contains(focused);
  const before = inside ? { trail: trail(focused), from: focused.selectionStart, to: focused.selectionEnd } : null;
  redraw();
  if (!before) return;
  const focusable = [...part.querySelectorAll("button, input, textarea, select, summary, [tabindex]")];
  const same = focusable.find((element) => trail(element).join("\n") === before.trail.join("\n"));
  same?.focus({ preventScroll: true });
  if (same && typeof before.from === "number" && same.setSelectionRange && same.type !== "checkbox") same.setSelectionRange(before.from, before.to);
}
