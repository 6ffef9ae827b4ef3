import assert from "node:assert/strict";
import { test } from "node:test";

import { fromOffer } from "../../../journal/pages/browser/form_state.js";
import { mergeSaved } from "../../../journal/pages/browser/saved_merge.js";
import { anOffer, aTask, fieldOf } from "./offers.js";

const copy = (value) => JSON.parse(JSON.stringify(value));

// What the page shows after a save: `type` is entered and sent, `save` is what the files have then, `since` is entered
// after it was sent.
function shown(type, save, since) {
  const [old, after] = [anOffer(), anOffer()];
  const now = fromOffer(old);
  type(now);
  const sent = copy(now);
  save(after);
  since(now);
  return { now: mergeSaved(old, after, now, sent), files: fromOffer(after) };
}

const nothing = () => {};

test("what nobody touched since is the files'", () => {
  const { now, files } = shown((page) => { page.memory = " Sewn. "; }, (offer) => { offer.memory = "Sewn."; }, nothing);
  assert.deepEqual(now, files);
});

test("what was typed since stays, beside what was saved", () => {
  const save = (offer) => { offer.memory = "Sewn."; fieldOf(offer, "mood").value = 4; };
  const { now } = shown((page) => { page.memory = "Sewn."; page.fields.mood = 4; }, save, (page) => { page.memory = "Sewn, twice."; });
  assert.deepEqual([now.memory, now.fields.mood], ["Sewn, twice.", 4]);
});

test("what was taken out again since stays out", () => {
  const { now } = shown((page) => { page.memory = "Sewn."; }, (offer) => { offer.memory = "Sewn."; }, (page) => { page.memory = ""; });
  assert.equal(now.memory, "");
});

test("an appointment that was saved is known by its place in the file, also if it was changed since", () => {
  const add = (page) => page.appointments.push({ ref: null, title: "Press", start: "08:00", end: "" });
  const save = (offer) => { offer.tomorrow.appointments = [...(offer.tomorrow.appointments ?? []), { ref: "a9", from: "page", title: "Press", start: "08:00", end: null }]; };
  for (const change of [{ title: "Press, by phone" }, { start: "09:00" }]) {
    const { now } = shown(add, save, (page) => { Object.assign(page.appointments.at(-1), change); page.appointments.push({ ref: null, title: "New", start: "", end: "" }); });
    assert.deepEqual(now.appointments.slice(-2).map((row) => [row.ref, row.title]), [["a9", change.title ?? "Press"], [null, "New"]]);
  }
});

test("a task that was saved is there once, and what was typed off and saved is not taken off again", () => {
  const typed = { ref: null, id: null, title: "Typed", rank: 3, estimate: "10", from: "new", source_ref: null };
  const { now } = shown(
    (page) => { page.next.push(typed); page.setAside.push({ title: "Set aside", estimate: "" }); },
    (offer) => { offer.tomorrow.tasks.push({ ...aTask("n9", "Typed"), rank: 3, estimate: 10 }); },
    (page) => { page.memory = "Sewn."; page.setAside.push({ title: "Later", estimate: "" }); },
  );
  assert.deepEqual(now.next.filter((one) => one.title === "Typed").map((one) => one.ref), ["n9"]);
  assert.deepEqual(now.setAside.map((one) => one.title), ["Later"]);
});

test("what is begun beside a press \"Add\" stays, minutes without a task too", () => {
  const minutes = (page) => { page.adding.minutes = "40"; };
  assert.equal(shown(minutes, nothing, nothing).now.adding.minutes, "40");
  assert.equal(shown(nothing, nothing, (page) => { page.adding.task = "Sew"; }).now.adding.task, "Sew");
});

test("a line stays where it was typed, below an empty one, and another text of the files is theirs", () => {
  const type = (page) => { page.gratitude = ["", "Rain"]; page.notes = [" ", "Paste is low"]; };
  const save = (offer) => { offer.gratitude = ["Rain"]; offer.notes = ["Paste is low"]; };
  assert.deepEqual(shown(type, save, nothing).now.gratitude, ["", "Rain"]);
  assert.deepEqual(shown(type, save, nothing).now.notes, [" ", "Paste is low"]);
  assert.deepEqual(shown(type, save, (page) => { page.memory = "Sewn."; }).now.gratitude, ["", "Rain"]);
  assert.deepEqual(shown(type, save, (page) => { page.gratitude[1] = "Rain, at last"; }).now.gratitude, ["", "Rain, at last"]);
  assert.deepEqual(shown(type, (offer) => { save(offer); offer.gratitude.push("Bread"); }, nothing).now.gratitude, ["Rain", "Bread"]);
});
