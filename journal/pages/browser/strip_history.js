// Undo and redo of a list of lines. A change that was made elsewhere, such as typing, becomes a step of its own, so no
// undo loses it.

const LIMIT = 100; // steps

const same = (one, other) => one.length === other.length && one.every((line, at) => line === other[at]);

export function lineHistory(lines) {
  let states = [[...lines]];
  let at = 0;

  // Adds the current lines as a step. With `isContinued`, they replace the last step, e.g. while an arrow key is held.
  const note = (now, isContinued = false) => {
    if (isContinued && at > 0) {
      at -= 1;
      states.length = at + 1;
    }
    if (same(now, states[at])) return;
    states = [...states.slice(0, at + 1), [...now]].slice(-LIMIT - 1);
    at = states.length - 1;
  };

  // The lines one step before or after, or null.
  const undo = (now) => {
    note(now);
    if (at === 0) return null;
    at -= 1;
    return [...states[at]];
  };
  const redo = (now) => {
    note(now);
    if (at === states.length - 1) return null;
    at += 1;
    return [...states[at]];
  };
  const canUndo = (now) => at > 0 || !same(now, states[at]);
  const canRedo = (now) => at < states.length - 1 && same(now, states[at]);
  return { note, undo, redo, canUndo, canRedo };
}
