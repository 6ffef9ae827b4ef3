// The line to the journal: a question goes out with a number, its answer comes back with the same.

const PATIENCE = 20000; // ms: a folder on a slow disk may take a while, a server that ended takes for ever
const AT_WORK = 600000; // from each word that something is being made: one of many years may take minutes

export function openChannel(model) {
  const waiting = new Map();
  const listeners = [];
  let asked = 0;
  const hear = (message, buffers) => {
    if (!message || typeof message !== "object") return;
    const wait = waiting.get(message.id);
    if (wait && "working" in message) {
      clearTimeout(wait.timer);
      wait.timer = setTimeout(wait.giveUp, AT_WORK);
      wait.working(message.working);
    } else if (wait) {
      waiting.delete(message.id);
      clearTimeout(wait.timer);
      wait.resolve({ ...message, file: buffers?.[0] });
    } else if (message.news) listeners.forEach((listener) => listener(message));
  };
  model.on("msg:custom", hear);
  return {
    // Resolves with the answer, and with a file that came along; with { silent: true } where none comes. What takes long
    // says on the way what it does: that goes to `working`.
    ask(what, of = {}, working = () => {}) {
      asked += 1;
      const id = asked;
      return new Promise((resolve) => {
        const giveUp = () => {
          waiting.delete(id);
          resolve({ silent: true });
        };
        const timer = setTimeout(giveUp, PATIENCE);
        waiting.set(id, { resolve, timer, giveUp, working });
        Promise.resolve(model.send({ id, ask: what, of })).catch(giveUp);
      });
    },
    listen: (listener) => listeners.push(listener),
    close: () => model.off("msg:custom", hear),
  };
}
