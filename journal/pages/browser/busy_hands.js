// Waits for the end of a press or of a composition under way: a redraw in between would lose it.

// `root` is the element that is redrawn. `free()` resolves at once, or when the pointer is up and the composition has ended.
export function busyHands(root) {
  let held = 0;
  let composing = false;
  let waiting = [];
  const settle = () => {
    if (held || composing) return;
    // After the events that follow the last one: the click, the input.
    setTimeout(() => {
      if (held || composing) return;
      waiting.forEach((resolve) => resolve());
      waiting = [];
    });
  };
  const on = {
    pointerdown: () => { held += 1; },
    pointerup: () => { held = Math.max(0, held - 1); settle(); },
    pointercancel: () => { held = Math.max(0, held - 1); settle(); },
    compositionstart: () => { composing = true; },
    compositionend: () => { composing = false; settle(); },
  };
  const begins = ["pointerdown", "compositionstart"];
  const listen = (act) => {
    for (const [name, handler] of Object.entries(on)) (begins.includes(name) ? root : window)[act](name, handler, true);
  };
  listen("addEventListener");
  return {
    free: () => (held || composing ? new Promise((resolve) => waiting.push(resolve)) : Promise.resolve()),
    close: () => listen("removeEventListener"),
  };
}
