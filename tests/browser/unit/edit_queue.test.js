import assert from "node:assert/strict";
import { test } from "node:test";

import { baseFor, editQueue } from "../../../journal/pages/browser/edit_queue.js";

const offer = { day: "2025-03-13", base: "new", tasks: [{ ref: "t7k2" }], appointments: [{ ref: "Call 08:30" }] };
const item = (edit, change = {}) => ({ edit, base: "old", day: "2025-03-13", ...change });

test("an edit goes with the newest version that has what it names", () => {
  const free = [{ what: "habit", key: "walk" }, { what: "add task" }, { what: "quote" }, { what: "line" }, { what: "appointment", ref: null }];
  const named = [{ what: "task", ref: "t7k2" }, { what: "move", ref: "t7k2" }, { what: "appointment", ref: "Call 08:30" }];
  for (const edit of [...free, ...named]) assert.equal(baseFor(item(edit), offer), "new", edit.what);
});

test("what the newest version has no more goes with the version it was seen on", () => {
  const gone = [{ what: "task", ref: "gone" }, { what: "put away", ref: "gone" }, { what: "appointment", ref: "gone" }, { what: "line", at: 0 }, { what: "take in", ref: "undated/u2p5" }];
  for (const edit of gone) assert.equal(baseFor(item(edit), offer), "old", edit.what);
});

test("an edit that was sent, that holds typed text, or of another day keeps its version", () => {
  const edit = { what: "habit", key: "walk" };
  for (const change of [{ sent: true }, { held: true }, { day: "2025-03-12" }]) assert.equal(baseFor(item(edit, change), offer), "old");
});

test("edits are sent one after the other, also those that come meanwhile and after a failure", async () => {
  const order = [];
  const queue = editQueue(async (one) => {
    order.push(`${one} starts`);
    await Promise.resolve();
    if (one === "c") throw new Error("broken");
    order.push(`${one} ends`);
    if (one === "a") queue.push("a again");
  });
  assert.equal(queue.busy, false);
  queue.push("a");
  assert.equal(queue.busy, true);
  await queue.push("b");
  assert.deepEqual(order, ["a starts", "a ends", "b starts", "b ends", "a again starts", "a again ends"]);
  await assert.rejects(queue.push("c"), /broken/);
  await queue.push("d");
  assert.equal(order.at(-1), "d ends");
  await queue.idle();
});
