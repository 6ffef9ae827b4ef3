import assert from "node:assert/strict";
import { test } from "node:test";

import { openChannel } from "../../../journal/pages/browser/channel.js";
import { earlyModel } from "../../../journal/pages/browser/early_model.js";

// A stub of the real model, with what it was told in order.
function realModel(values) {
  const told = [];
  const listeners = new Set();
  return {
    told, listeners, get: (name) => values[name], set: (name, value) => told.push([name, value]), save_changes: () => told.push("saved"),
    on: (_, listener) => listeners.add(listener), off: (_, listener) => listeners.delete(listener),
    send: (message) => told.push(message),
  };
}

test("what is asked waits for the real model and gets its answer", async () => {
  const early = earlyModel({ offer: { day: "2025-03-13" }, journal: "j" });
  assert.deepEqual([early.get("offer").day, early.get("journal")], ["2025-03-13", "j"]);
  const channel = openChannel(early);
  const answer = channel.ask("fit", { estimates: [5] });
  const real = realModel({ offer: { day: "2025-03-13" } });
  assert.deepEqual(real.told, []);
  early.attach(real);
  assert.deepEqual(real.told, [{ id: 1, ask: "fit", of: { estimates: [5] } }]);
  real.listeners.forEach((listener) => listener({ id: 1, fits: true }));
  assert.equal((await answer).fits, true);
  channel.ask("fit");
  assert.equal(real.told.length, 2);
  channel.close();
  assert.equal(real.listeners.size, 0);
});

test("what is asked once the server has gone is told at once, and not sent later", async () => {
  let lost = false;
  const early = earlyModel({ offer: {} }, () => lost);
  const channel = openChannel(early);
  channel.ask("fit");
  lost = true;
  assert.deepEqual(await channel.ask("save"), { silent: true });
  const real = realModel({ offer: {} });
  early.attach(real);
  assert.deepEqual(real.told.map(({ ask }) => ask), ["fit"]);
});

test("another offer is news, the same at another time or in another order is none", () => {
  for (const [offer, news] of [[{ now: 9, day: { b: 1, a: [1] } }, 0], [{ now: 1, day: { a: [1, 2], b: 1 } }, 1], [{ now: 1, day: { a: { 0: 1 }, b: 1 } }, 1], [{ now: 1, day: { a: [1] } }, 1]]) {
    const early = earlyModel({ offer: { now: 1, day: { a: [1], b: 1 } } });
    const heard = [];
    openChannel(early).listen((message) => heard.push(message.offer));
    early.attach(realModel({ offer }));
    assert.deepEqual(heard, news ? [offer] : []);
  }
});

test("a trait that was set is set on the real model, the latest value once", () => {
  const early = earlyModel({ opened: [] });
  early.set("opened", ["mood"]);
  early.set("opened", ["mood", "hours"]);
  early.save_changes();
  assert.deepEqual(early.get("opened"), ["mood", "hours"]);
  const real = realModel({});
  early.attach(real);
  assert.deepEqual(real.told, [["opened", ["mood", "hours"]], "saved"]);
});
