// The way back from the last save: a button beside what was said, until the next save, or until the page is left.

import { clashNotice } from "./clash_notice.js";
import { button } from "./elements.js";
import { N_, _ } from "./texts.js";

const SILENT = N_("Not taken back: the journal does not answer. See that the command still runs, then try again.");
const WORDS = {
  about: N_("The same was changed elsewhere since you saved it. Nothing is taken back yet: choose what stays."),
  mine: N_("Before the save"), take: N_("Go back to this"), theirs: N_("In the file"), keep: N_("Keep the file's"),
};
const NOUNS = { tasks: N_("Task"), appointments: N_("Appointment"), reflection: N_("Answer"), habits: N_("Habit"), challenges: N_("Challenge"), decisions: N_("Decision"), hours: N_("Hours"), gratitude: N_("Good things") };

// What a place that was changed elsewhere is called: "Task: Quote", "Memory".
export function placeName({ field, file }) {
  const [first, ...rest] = field.split(".");
  if (!first) return file;
  const noun = NOUNS[first] ? _(NOUNS[first]) : `${first[0].toUpperCase()}${first.slice(1).replace(/_/g, " ")}`;
  return rest.length ? `${noun}: ${rest.join(".")}` : noun;
}

// `say` tells what happened, `notices` has room for a question, and `rest()` is the control that gets the focus when the
// button goes.
export function takeBack({ say, notices, rest }) {
  let kept = null; // { undo, ask, shown }
  let asked = null; // the question about what was changed elsewhere
  let running = false;
  const press = button(_(_("Take back")), () => run([]), { class: "back", hidden: true });

  const keep = (next, said = "") => {
    kept = next;
    press.hidden = !kept;
    press.setAttribute("aria-label", kept ? _("Take back: {said}", { said }) : _("Take back"));
  };

  const run = async (resolve) => {
    if (running || !kept) return;
    const { undo, ask, shown } = kept;
    running = true;
    asked?.remove();
    say(_("Taking back…"));
    try {
      const { answer, offer, failed, silent } = await ask({ undo, resolve });
      if (silent || !answer) return say(failed || _(SILENT));
      if (answer.conflict.length) return differs(answer);
      if (!answer.saved) return say(_("Not taken back."), answer.problems.map(({ message }) => message));
      const held = press.getRootNode().activeElement === press;
      keep(null);
      await shown(offer);
      if (held || resolve.length) rest()?.focus();
      return say(answer.said);
    } finally {
      running = false;
    }
  };

  const differs = (answer) => {
    say(answer.said);
    asked = clashNotice(answer.conflict, { words: Object.fromEntries(Object.entries(WORDS).map(([name, text]) => [name, _(text)])), nameOf: placeName }, run);
    notices.prepend(asked);
    asked.focus();
  };

  return {
    press,
    // Offers the way back from a save. `ask` sends the request with the parameters it gets, `shown` draws the files as they
    // are then. A save that wrote nothing leaves the way back from the one before.
    after({ undo, said }, ask, shown) {
      if (undo) keep({ undo, ask, shown }, said);
    },
    forget: () => keep(null),
  };
}
