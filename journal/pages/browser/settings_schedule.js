// The schedule of a habit or routine in its row, with the next days it falls on, asked anew at each change.

import { debounceRequest } from "./debounce.js";
import { make } from "./elements.js";
import { scheduleFields } from "./schedule_fields.js";
import { sentSchedule } from "./schedule_state.js";

export function dueSchedule(sheet, row, path, quota, about) {
  const offered = sheet.offer.lists[path.split(".")[0]].rows.find(({ ref }) => row.ref !== null && ref === row.ref);
  const said = make("p", { class: "told-of", role: "status", text: offered?.due ?? "" });
  const ask = debounceRequest(
    () => sheet.ask("due", { schedule: sentSchedule(row.schedule), from: row.values.from, until: row.values.until }),
    (answer) => {
      said.textContent = answer.said ?? "";
      sheet.due.set(row.uid, said.textContent);
      about();
    },
  );
  const changed = (at) => {
    ask();
    sheet.changed(at);
  };
  const otherWords = offered?.schedule.pattern === "other" ? offered.rule_words : "";
  const fields = scheduleFields(row.schedule, { path: `${path}.schedule`, changed, quota, otherWords });
  const made = make("div", { class: "due" }, fields, said);
  sheet.whenChanged(path, ["from", "until"], ask);
  if (!offered) ask();
  return made;
}
