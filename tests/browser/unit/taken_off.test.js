import assert from "node:assert/strict";
import { test } from "node:test";

import { mergeDraft } from "../../../journal/pages/browser/draft_merge.js";
import { capacityQuery, entered, fromOffer } from "../../../journal/pages/browser/form_state.js";
import { putOn, takenOff, takeOff, whereTo } from "../../../journal/pages/browser/taken_off.js";
import { anOffer, aTask } from "./offers.js";

const typed = (change = {}) => ({ ref: null, title: "Sew", rank: 1, estimate: "20", from: "new", source_ref: null, ...change });
const titles = (tasks) => tasks.map((task) => task.title);

test("a task that was only typed is set aside, and goes to the tasks without a day when it is saved", () => {
  const offer = anOffer();
  const now = fromOffer(offer);
  const task = typed();
  now.next.push(task);
  takeOff(now, task, null);
  assert.deepEqual([titles(now.next), titles(now.setAside), titles(takenOff(offer, now))], [["Glue", "Corners"], ["Sew"], ["Sew"]]);
  assert.equal(whereTo(offer, now, task), "goes to the tasks without a day");
  assert.deepEqual(entered(offer, now).tomorrow.set_aside, [{ title: "Sew", estimate: 20 }]);
  assert.deepEqual(titles(mergeDraft(offer, anOffer(), now).now.setAside), ["Sew"]);
  putOn(now, task);
  assert.deepEqual([titles(now.next), now.setAside, task.rank], [["Glue", "Corners", "Sew"], [], null]); // Glue has rank 1
});

test("a task of tomorrow's page is listed with where it goes, until it is put back", () => {
  const offer = anOffer();
  offer.tomorrow.tasks[0].comes_round = true;
  const now = fromOffer(offer);
  for (const task of [...now.next]) takeOff(now, task, null);
  const off = takenOff(offer, now);
  assert.deepEqual(off.map((task) => [task.title, whereTo(offer, now, task)]), [["Corners", "comes round again"], ["Glue", "goes to the tasks without a day"]]);
  assert.deepEqual(now.setAside, []);
  putOn(now, { ...off[1], from: "page" });
  putOn(now, { ...off[1], from: "page" });
  assert.deepEqual([titles(now.next), titles(takenOff(offer, now))], [["Glue"], ["Corners"]]);
});

test("what was taken in from elsewhere and is not saved stays there", () => {
  const offer = anOffer();
  const now = fromOffer(offer);
  const words = [];
  for (const task of [typed({ from: "undated", source_ref: "u1" }), typed({ from: "routine" }), typed({ from: "carried", source_ref: "t1" })]) {
    now.next.push(task);
    takeOff(now, task, task.from === "carried" ? now.tasks[0] : null);
    words.push(whereTo(offer, now, task));
  }
  assert.deepEqual(words, ["stays without a day", "is offered below again", "is open again today"]);
  assert.deepEqual([takenOff(offer, now), whereTo({ ...offer, today: "2025-03-14" }, now, typed({ from: "carried", source_ref: "t1" }))], [[], "is open again on its day"]);
});

test("a task of the day that went on is listed only while it is open again there", () => {
  const offer = anOffer({ tasks: [aTask("t1", "Quote", { status: "carried" })] }, { tasks: [{ ...aTask("t1", "Quote"), rank: null, estimate: null, source_ref: "t1" }] });
  const now = fromOffer(offer);
  now.next = [];
  now.tasks[0].what = "open";
  assert.deepEqual(titles(takenOff(offer, now)), ["Quote"]);
  now.tasks[0].what = "done";
  assert.deepEqual(takenOff(offer, now), []);
});

test("what is done or dropped already is not taken off, and needs no time", () => {
  const offer = anOffer({}, { tasks: [{ ...aTask("n1", "Corners", { status: "done" }), rank: null, estimate: 45 }] });
  const now = fromOffer(offer);
  assert.deepEqual(capacityQuery(offer, now).estimates, []);
  now.next = [];
  assert.deepEqual(takenOff(offer, now), []);
});
