// The edits of a day's page, sent one after the other, each with the version of the page that it was made on.

// Edits that name nothing on the page: they hold for any newer version of it.
const FREE = ["habit", "challenge", "fields", "place", "hours", "add task", "add undated", "quote"];

// The version to send an edit with. A newer one is better, since the edit was then made with it in sight; but what an edit
// names must be on it, under the same name. What was typed is held at the version it was begun on. An edit that is sent
// again keeps its version, so that it is not done twice.
export function baseFor(item, offer) {
  if (item.sent || item.held || offer.day !== item.day) return item.base;
  const { what, ref = null, at = null } = item.edit;
  const lists = { task: offer.tasks, move: offer.tasks, "put away": offer.tasks, appointment: offer.appointments };
  const named = ref !== null && lists[what]?.some((one) => one.ref === ref);
  const isNew = ref === null && at === null && ["appointment", "line"].includes(what);
  return FREE.includes(what) || named || isNew ? offer.base : item.base;
}

// `send(item)` resolves when the answer is shown. `idle()` resolves when nothing waits.
export function editQueue(send) {
  const waiting = [];
  let running = null;
  const run = async () => {
    try {
      while (waiting.length) await send(waiting.shift());
    } finally {
      running = null;
    }
  };
  return {
    push(item) {
      waiting.push(item);
      running ||= run();
      return running;
    },
    idle: () => running || Promise.resolve(),
    get busy() {
      return running !== null;
    },
  };
}
