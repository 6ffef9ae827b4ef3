import assert from "node:assert/strict";
import { test } from "node:test";

import { openChannel } from "../../../journal/pages/browser/channel.js";

// A stub of a widget's model; `hear` delivers a message from the journal. Timers are fired by hand.
async function withChannel(work, send = () => {}) {
  const [sent, timers, listeners] = [[], new Map(), new Set()];
  const real = [globalThis.setTimeout, globalThis.clearTimeout];
  globalThis.setTimeout = (ring, wait) => {
    timers.set(timers.size + 1, { ring, wait });
    return timers.size;
  };
  globalThis.clearTimeout = (timer) => { timers.get(timer).ring = () => {}; };
  const model = {
    on: (_, listener) => listeners.add(listener), off: (_, listener) => listeners.delete(listener),
    send: (message) => {
      sent.push(message);
      return send(message);
    },
  };
  try {
    await work({ channel: openChannel(model), sent, timers, listeners, hear: (message, files) => listeners.forEach((listener) => listener(message, files)) });
  } finally {
    [globalThis.setTimeout, globalThis.clearTimeout] = real;
  }
}

test("each request has its own number", () => withChannel(async ({ channel, sent }) => {
  channel.ask("day", { day: "2025-03-13" });
  channel.ask("fit");
  assert.deepEqual(sent, [{ id: 1, ask: "day", of: { day: "2025-03-13" } }, { id: 2, ask: "fit", of: {} }]);
}));

test("an answer and its file go to the request with the same number", () => withChannel(async ({ channel, hear }) => {
  const [first, second] = [channel.ask("a"), channel.ask("b")];
  hear({ id: 2, said: "two" }, ["bytes"]);
  hear({ id: 1, said: "one" });
  assert.deepEqual([await first, await second], [{ id: 1, said: "one", file: undefined }, { id: 2, said: "two", file: "bytes" }]);
}));

test("news goes to the listeners, answers do not", () => withChannel(async ({ channel, hear }) => {
  const heard = [];
  channel.listen((message) => heard.push(message.offer));
  hear({ news: true, offer: "new" });
  hear({ id: 9, offer: "late" });
  for (const odd of [null, "text", 5]) hear(odd);
  assert.deepEqual(heard, ["new"]);
}));

test("a request without an answer for twenty seconds is silent", () => withChannel(async ({ channel, timers }) => {
  const answer = channel.ask("a");
  assert.equal(timers.get(1).wait, 20000);
  timers.get(1).ring();
  assert.deepEqual(await answer, { silent: true });
}));

test("a request that cannot be sent is silent", () => withChannel(async ({ channel }) => {
  assert.deepEqual(await channel.ask("a"), { silent: true });
}, () => Promise.reject(new Error("closed"))));

test("a progress message goes to the request and extends its timeout to ten minutes", () => withChannel(async ({ channel, hear, timers }) => {
  const doing = [];
  const answer = channel.ask("book", {}, (what) => doing.push(what));
  hear({ id: 1, working: "Drawing" });
  assert.deepEqual([doing, timers.get(2).wait], [["Drawing"], 600000]);
  timers.get(1).ring();
  hear({ id: 1, pages: 3 });
  assert.equal((await answer).pages, 3);
}));

test("a second answer to a request is ignored", () => withChannel(async ({ channel, hear }) => {
  const answer = channel.ask("a");
  hear({ id: 1, said: "one" });
  hear({ id: 1, said: "two" });
  assert.equal((await answer).said, "one");
}));

test("progress after the answer is ignored", () => withChannel(async ({ channel, hear }) => {
  const doing = [];
  const answer = channel.ask("book", {}, (what) => doing.push(what));
  hear({ id: 1, pages: 3 });
  await answer;
  hear({ id: 1, working: "Drawing" });
  assert.deepEqual(doing, []);
}));

test("a closed channel receives nothing", () => withChannel(async ({ channel, listeners }) => {
  channel.close();
  assert.equal(listeners.size, 0);
}));
