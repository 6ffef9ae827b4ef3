// A three-way merge of the entered values (`now`), the offer they started from, and a newer offer of the same day. A field
// that only one side changed takes that side's value. If both sides changed it, the entered value stays and the field is
// reported as a conflict with the other value.

import { fieldKey, fieldName } from "./day_fields.js";
import { fromOffer, same } from "./form_state.js";
import { byRank } from "./ranks.js";

const copy = (value) => JSON.parse(JSON.stringify(value));

export function mergeDraft(old, offer, now) {
  const before = fromOffer(old);
  const after = fromOffer(offer);
  const result = copy(after);
  const conflicts = [];
  const settle = (path, name, was, is, mine, put) => {
    if (same(mine, was) || same(mine, is)) return;
    put(mine);
    if (!same(was, is)) conflicts.push({ field: path, name, yours: mine, theirs: is, take: put });
  };
  const single = (key, name) => settle(key, name, before[key], after[key], now[key], (value) => { result[key] = value; });
  const fields = (side, offered, path) => {
    for (const field of offered) {
      const key = fieldKey(field);
      if (!(key in before[side])) continue;
      settle(path + key, fieldName(field), before[side][key], after[side][key], now[side][key], (value) => { result[side][key] = value; });
    }
  };
  fields("fields", offer.fields, "");
  for (const [kind, word] of [["habits", ""], ["challenges", ""]]) {
    for (const { key, name } of offer[kind]) {
      if (!(key in before[kind])) continue;
      settle(`${kind}.${key}`, word || name, before[kind][key], after[kind][key], now[kind][key], (value) => { result[kind][key] = value; });
    }
  }
  single("gratitude", "Good things");
  single("memory", "One to remember");
  single("share", "A friend may read it");
  // The tick applies to the memory it was set for. Another memory needs a new tick.
  if (result.share && !before.share && result.memory !== (now.share ? now : after).memory) result.share = false;
  single("notes", "Notes");
  single("actual", "Hours as they went");
  result.asPlanned = now.asPlanned && offer.actual_from_plan;
  fields("tomorrowFields", offer.tomorrow.fields, "tomorrow.");
  single("appointments", "Appointments of tomorrow");
  single("planned", "Hours of tomorrow");
  taskList("tasks", ["what", "to", "took"], before, after, now, result, settle);
  taskList("next", ["rank", "estimate"], before, after, now, result, settle);
  result.next = byRank(result.next);
  return { now: result, conflicts };
}

const KEY_TEXTS = { what: "what becomes of it", to: "its new day", took: "minutes it took", rank: "rank", estimate: "minutes for it" };

// Tasks are matched by id or title. Tasks added on the page are added again.
function taskList(list, keys, before, after, now, result, settle) {
  const match = (tasks, task) => tasks.find((other) => (task.id && other.id === task.id) || other.title === task.title);
  for (const task of now[list]) {
    const was = task.ref === null || task.ref === undefined ? null : match(before[list], task);
    const is = match(after[list], task);
    const put = match(result[list], task);
    if (!was && !is) result[list].push(copy(task));
    if (!was && is) Object.assign(put, Object.fromEntries(keys.map((key) => [key, task[key] ?? put[key]])));
    if (!was || !is) continue;
    for (const key of keys) {
      settle(`${list}.${task.title}.${key}`, `${task.title}, ${KEY_TEXTS[key]}`, was[key], is[key], task[key], (value) => { put[key] = value; });
    }
  }
}
