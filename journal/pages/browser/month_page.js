// A month in place of the evening: its grid, and its save.

import { make } from "./elements.js";
import { monthGrid } from "./month_grid.js";
import { SILENT } from "./save_bar.js";
import { CHOOSE } from "./unsaved.js";
import { _ } from "./texts.js";

// `changed` are the marks entered before, by habit and day. `work` asks about conflicts, `open` opens the month again,
// `back` offers the way back from a save.
export function monthPage({ offer, changed, body, bar, back, touched, work, ask, open }) {
  const grid = monthGrid(offer, touched, changed);
  const draw = () => body.replaceChildren(make("section", { class: "card" }, grid.element));
  draw();

  const save = async () => {
    if (!grid.count()) return bar.say(_("Nothing is changed in this month."));
    bar.say(_("Saving…"));
    const { answer, failed, silent } = await ask("save_month", grid.entered());
    if (silent || !answer) return bar.say(failed || _(SILENT));
    const saved = () => back.after(answer, (of) => ask("back_month", { month: offer.month, ...of }), () => open(offer.month));
    if (answer.saved) {
      await open(offer.month);
      saved();
      return bar.say(answer.said);
    }
    saved();
    if (answer.conflict.length) return differs(answer.conflict);
    return bar.say(_("Not all of the month is saved. {said} What you marked stays here.", { said: answer.said }), answer.problems.map((problem) => problem.message));
  };

  // After a conflict: shows the current month with the marks entered here, and both values where they differ.
  const differs = async (conflict) => {
    const names = Object.fromEntries(offer.habits.map((habit) => [habit.key, habit.name]));
    await open(offer.month, changed);
    const conflicts = conflict.map(({ field, yours, theirs }) => {
      const [, habit, day] = field.split(".");
      return { field, name: `${names[habit] || habit}, ${day}`, yours, theirs, take: () => { delete changed[habit]?.[day]; } };
    });
    work.askAbout(conflicts, work.offer, (left) => {
      if (!left) open(offer.month, changed);
    });
    bar.say(_(CHOOSE));
  };

  return { month: offer.month, count: grid.count, save };
}
