// The model of a form that is there before its notebook: what is sent waits, and goes on once the real model is attached. It is
// refused once the server has gone (`head.js`).

const TIMES = new Set(["now"]); // of an offer: what differs with every drawing

// `values` are the traits that the form reads, by name.
export function earlyModel(values, isLost = () => false) {
  const state = { ...values };
  const changed = new Set();
  const listeners = [];
  const waiting = [];
  let real = null;
  return {
    get: (name) => (real ? real.get(name) : state[name]),
    set(name, value) {
      if (real) real.set(name, value);
      else changed.add(name);
      state[name] = value;
    },
    save_changes: () => real?.save_changes(),
    on(event, listener) {
      listeners.push([event, listener]);
      real?.on(event, listener);
    },
    off(event, listener) {
      listeners.splice(0, listeners.length, ...listeners.filter(([other, one]) => other !== event || one !== listener));
      real?.off(event, listener);
    },
    send(...message) {
      if (real) return real.send(...message);
      if (isLost()) return Promise.reject(new Error("the journal does not answer"));
      return new Promise((sent) => { waiting.push([message, sent]); });
    },
    // From now on everything goes to `model`. If its offer is another one by now, the form gets it as news.
    attach(model) {
      real = model;
      for (const [event, listener] of listeners) model.on(event, listener);
      for (const name of changed) model.set(name, state[name]);
      if (changed.size) model.save_changes();
      const offer = model.get("offer");
      if (offer && !isSame(offer, values.offer)) for (const [event, listener] of listeners) if (event === "msg:custom") listener({ news: true, offer });
      for (const [message, sent] of waiting.splice(0)) sent(model.send(...message));
    },
  };
}

// Whether two values of JSON are the same but for the time. Keys may come in another order.
function isSame(left, right) {
  if (left === right) return true;
  if (!left || !right || typeof left !== "object" || typeof right !== "object" || Array.isArray(left) !== Array.isArray(right)) return false;
  const names = new Set([...Object.keys(left), ...Object.keys(right)]);
  return [...names].every((name) => TIMES.has(name) || isSame(left[name], right[name]));
}
