// What was typed while a save was under way and since, beside the files as they are after it.

import { mergeDraft } from "./draft_merge.js";
import { fromOffer, same, withLines } from "./form_state.js";

const copy = (value) => JSON.parse(JSON.stringify(value));

// The values to show: `old` is the offer that was on the page, `after` that of the files now, `sent` what was saved and
// `now` what is entered. A value that is as it was sent is the files'.
export function mergeSaved(old, after, now, sent) {
  const files = fromOffer(after);
  if (same(sent, now)) return withLines({ ...files, adding: copy(now.adding) }, now);
  const since = { ...now, setAside: now.setAside.filter((task) => !sent.setAside.some((other) => other.title === task.title)) };
  for (const list of ["dayAppointments", "appointments"]) since[list] = now[list].map((row, i) => known(row, sent[list], i, files[list]));
  return mergeDraft(old, after, since, copy(sent)).now;
}

// An appointment that was new when it was sent has its place in the file by now. Without it, it would be added again.
function known(row, sent, place, files) {
  if (row.ref !== null) return row;
  const asSent = sent.find((other) => other.ref === null && other.title === row.title) ?? sent[place];
  const saved = asSent?.ref === null && files.find((other) => other.title === asSent.title.trim());
  return saved ? { ...row, ref: saved.ref } : row;
}
