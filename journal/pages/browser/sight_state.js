// What is opened, pressed, chosen and typed in the first sight outside of its forms, to be given to the notebook.

const CONTROL = '[data-testid^="marimo-plugin-"]';
const FOCUSED = `a, summary, button:not(${CONTROL}), ${CONTROL}`;

// Keeps the state of `place` from now on.
export function sameState(place) {
  const presses = new Map(); // by control, how often it was pressed
  place.addEventListener("click", (event) => {
    const control = event.target.closest?.(`button${CONTROL}`);
    if (control) presses.set(control, (presses.get(control) ?? 0) + 1);
  });
  const written = new Set();
  for (const name of ["input", "change"]) place.addEventListener(name, ({ target }) => target.matches?.(CONTROL) && written.add(target));

  return {
    // Opens in `root` what is open here. Returns a function that gives the focus, and the presses, to the controls there.
    give(root) {
      const [here, there] = [place, root].map((scope) => [...scope.querySelectorAll(".output details")]);
      const opened = here.filter((one) => one.open);
      for (const one of opened) counterpart(one, here, there, "summary")?.setAttribute("open", "");
      const controls = pairs(place, root, CONTROL);
      const focused = place.contains(document.activeElement) && !document.activeElement.matches("[data-form]") ? document.activeElement : null;
      const next = focused && pairs(place, root, FOCUSED).get(focused);
      const caret = focused?.selectionStart;
      return () => {
        for (const control of written) if (controls.get(control)) write(controls.get(control), control.value);
        for (const [control, times] of presses) for (let count = 0; count < times; count += 1) controls.get(control)?.click();
        next?.focus({ preventScroll: true });
        if (typeof caret === "number") next?.setSelectionRange?.(caret, caret);
      };
    },
  };
}

// The same disclosure in the notebook: that with the same name, else with the same text at the same place.
function counterpart(one, here, there, name) {
  if (one.id) return there.find((other) => other.id === one.id);
  const found = there[here.indexOf(one)];
  return found?.querySelector(name)?.textContent === one.querySelector(name)?.textContent ? found : null;
}

// The elements of `place` with those at the same place of `root`, where marimo's controls have trees of their own.
function pairs(place, root, selector) {
  const [here, there] = [place, root].map((scope) => found(scope, selector));
  return new Map(here.length === there.length ? here.map((element, index) => [element, there[index]]) : []);
}

function found(scope, selector) {
  const every = `:is(${selector}, marimo-button, marimo-dropdown, marimo-text)`;
  return [...scope.querySelectorAll(`.output ${every}`)].flatMap((element) => {
    if (!element.localName.startsWith("marimo-")) return [element];
    return element.shadowRoot ? [...element.shadowRoot.querySelectorAll(CONTROL)] : [];
  });
}

// As if a person had done it: the frame keeps its own copy of a value, and hears of events alone.
function write(control, value) {
  Object.getOwnPropertyDescriptor(Object.getPrototypeOf(control), "value").set.call(control, value);
  for (const name of ["input", "change"]) control.dispatchEvent(new Event(name, { bubbles: true, composed: true }));
}
