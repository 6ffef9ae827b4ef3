// The line to the journal: a question goes out with a number, its answer comes back with the same.

const PATIENCE = 20000; // ms: a folder on a slow disk may take a while, a server that ended takes for ever

export function lineTo(model) {
  const waiting = new Map();
  const listeners = [];
  let asked = 0;
  const hear = (message) => {
    if (!message || typeof message !== "object") return;
    const wait = waiting.get(message.id);
    if (wait) {
      waiting.delete(message.id);
      clearTimeout(wait.timer);
      wait.resolve(message);
    } else if (message.news) listeners.forEach((listener) => listener(message));
  };
  model.on("msg:custom", hear);
  return {
    // Resolves with the answer; with { silent: true } where none comes.
    ask(what, of = {}) {
      asked += 1;
      const id = asked;
      return new Promise((resolve) => {
        const giveUp = () => {
          waiting.delete(id);
          resolve({ silent: true });
        };
        const timer = setTimeout(giveUp, PATIENCE);
        waiting.set(id, { resolve, timer });
        Promise.resolve(model.send({ id, ask: what, of })).catch(giveUp);
      });
    },
    listen: (listener) => listeners.push(listener),
    close: () => model.off("msg:custom", hear),
  };
}
