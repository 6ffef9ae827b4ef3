// The message channel to the journal: each request has a number, and its answer has the same number.

const PATIENCE = 20000; // ms without an answer: enough for a slow disk; a server that has ended never answers
const AT_WORK = 600000; // ms after each progress message: a book of many years may take minutes

export function openChannel(model) {
  const waiting = new Map();
  const listeners = [];
  let asked = 0;
  const receive = (message, buffers) => {
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
  model.on("msg:custom", receive);
  return {
    // Resolves with the answer and its file, if any, or with { silent: true } if no answer comes. Progress messages of slow
    // requests go to `working`.
    ask(request, params = {}, working = () => {}) {
      asked += 1;
      const id = asked;
      return new Promise((resolve) => {
        const giveUp = () => {
          waiting.delete(id);
          resolve({ silent: true });
        };
        const timer = setTimeout(giveUp, PATIENCE);
        waiting.set(id, { resolve, timer, giveUp, working });
        Promise.resolve(model.send({ id, ask: request, of: params })).catch(giveUp);
      });
    },
    listen: (listener) => listeners.push(listener),
    close: () => model.off("msg:custom", receive),
  };
}
