import assert from "node:assert/strict";
import { test } from "node:test";

import { keptValues } from "../../../journal/pages/browser/kept_values.js";
import { storage } from "./memory.js";

const SECRET = new Uint8Array(32).fill(7);
const OTHER = new Uint8Array(32).fill(8);
const PRIVATE = { memory: "Lena came by.", day: "2025-03-13" };

test("values are there again after a reload, with the key", async () => {
  const place = storage();
  const kept = await keptValues(place, SECRET);
  kept.set("j 2025-03-13", PRIVATE);
  assert.deepEqual(kept.get("j 2025-03-13"), PRIVATE, "at once, before it is stored");
  await kept.stored();
  const again = await keptValues(place, SECRET);
  assert.deepEqual(again.get("j 2025-03-13"), PRIVATE);
  assert.deepEqual(again.names(), ["j 2025-03-13"]);
});

test("without the key, neither values nor names can be read, and they stay as they are", async () => {
  const place = storage();
  const kept = await keptValues(place, SECRET);
  kept.set("j 2025-03-13", PRIVATE);
  await kept.stored();
  const stored = JSON.stringify({ ...place });
  for (const word of ["Lena", "memory", "2025", "TGVuYS", "MjAyN"]) assert.ok(!stored.includes(word), word);
  const stranger = await keptValues(place, OTHER);
  assert.deepEqual(stranger.names(), []);
  stranger.set("k 2025-03-13", { mood: 1 });
  await stranger.stored();
  assert.deepEqual((await keptValues(place, SECRET)).get("j 2025-03-13"), PRIVATE);
});

test("the same value is never stored alike twice", async () => {
  const place = storage();
  const kept = await keptValues(place, SECRET);
  kept.set("a", PRIVATE);
  await kept.stored();
  const first = Object.values(place)[0];
  kept.set("a", PRIVATE);
  await kept.stored();
  assert.equal(Object.keys(place).length, 1);
  assert.notEqual(Object.values(place)[0], first);
});

test("the last of quick changes is stored, and what is removed is gone", async () => {
  const place = storage();
  const kept = await keptValues(place, SECRET);
  for (let count = 0; count <= 200; count += 1) kept.set("a", count);
  kept.set("b", 1);
  kept.remove("b");
  await kept.stored();
  assert.equal((await keptValues(place, SECRET)).get("a"), 200);
  assert.equal(Object.keys(place).length, 1);
  kept.set("a", "x");
  kept.remove("a");
  await kept.stored();
  assert.deepEqual(Object.keys(place), []);
});

test("what the browser has cleared is gone, and can be kept again", async () => {
  const place = storage();
  const kept = await keptValues(place, SECRET);
  kept.set("a", 1);
  await kept.stored();
  for (const key of Object.keys(place)) delete place[key];
  assert.deepEqual([kept.get("a"), kept.names()], [null, []]);
  kept.set("a", 2);
  assert.equal(kept.get("a"), 2);
  await kept.stored();
  assert.equal((await keptValues(place, SECRET)).get("a"), 2);
});

test("a value is as it was when it was set", async () => {
  const kept = await keptValues(null, null);
  const value = { texts: ["a"] };
  kept.set("a", value);
  value.texts.push("b");
  kept.get("a").texts.push("c");
  assert.deepEqual(kept.get("a"), { texts: ["a"] });
});

test("long texts in every script are kept", async () => {
  const place = storage();
  const kept = await keptValues(place, SECRET);
  const long = "Žibert 日本 🌅 ".repeat(9000);
  kept.set("a", long);
  await kept.stored();
  assert.equal((await keptValues(place, SECRET)).get("a"), long);
});

test("what others have stored, or a part of a value, is ignored and left alone", async () => {
  const place = storage();
  const kept = await keptValues(place, SECRET);
  kept.set("a", 1);
  await kept.stored();
  const [name] = Object.keys(place);
  place[name] = place[name].slice(0, -4);
  place["duskbook x"] = "{";
  place["duskbook y"] = "";
  place.other = "7";
  const again = await keptValues(place, SECRET);
  assert.deepEqual(again.names(), []);
  assert.equal(place.other, "7");
});

test("without a key, nothing is stored", async () => {
  const place = storage();
  const kept = await keptValues(place, null);
  kept.set("a", PRIVATE);
  await kept.stored();
  assert.deepEqual(kept.get("a"), PRIVATE);
  assert.deepEqual(Object.keys(place), []);
});

test("a storage that is full or refuses is no error", async () => {
  const refuse = () => { throw new Error("refused"); };
  const kept = await keptValues(storage({ setItem: refuse, removeItem: refuse }), SECRET);
  kept.set("a", 1);
  kept.remove("a");
  kept.set("a", 2);
  await kept.stored();
  assert.equal(kept.get("a"), 2);
});
