import assert from "node:assert/strict";
import { test } from "node:test";

import { blockKey, cardKey, choiceKey, cursorKey, edgeKey, gridMove, handKey, historyKey, inTextField, leavesLine, minutesOfKey, monthKey, previewKey, rankKey, rowKey, saveKey, savesPage, stepsBack, turnKey } from "../../../journal/pages/browser/keyboard.js";
import { pressed } from "./offers.js";

const SIZE = [9, 31];

test("Ctrl+S and Cmd+S save, s alone is a letter", () => {
  assert.equal(savesPage(pressed("s", { ctrlKey: true })), true);
  assert.equal(savesPage(pressed("s", { metaKey: true })), true);
  for (const event of [pressed("s"), pressed("s", { altKey: true }), pressed("x", { ctrlKey: true })]) assert.equal(savesPage(event), false);
});

test("the key that saves is named as on its keyboard", () => {
  for (const platform of ["MacIntel", "iPad"]) assert.deepEqual(saveKey(platform), { name: "Cmd+S", shortcut: "Meta+S", next: "Cmd+Enter" });
  for (const platform of ["Linux x86_64", "Win32", ""]) assert.deepEqual(saveKey(platform), { name: "Ctrl+S", shortcut: "Control+S", next: "Ctrl+Enter" });
});

test("strip: arrows move by a quarter of an hour, with Shift by an hour, with Alt by five minutes", () => {
  for (const [key, sign] of [["ArrowRight", 1], ["ArrowUp", 1], ["ArrowLeft", -1], ["ArrowDown", -1]]) {
    assert.equal(minutesOfKey(pressed(key)), sign * 15);
    assert.equal(minutesOfKey(pressed(key, { shiftKey: true })), sign * 60);
    assert.equal(minutesOfKey(pressed(key, { altKey: true })), sign * 5);
  }
  for (const key of ["Home", "a", "Enter"]) assert.equal(minutesOfKey(pressed(key)), 0);
});

test("strip: keys of a block", () => {
  const does = { ArrowLeft: "move", ArrowUp: "move", Delete: "remove", Backspace: "remove", Enter: "edges", " ": "choose", Tab: null, Escape: null, a: null };
  for (const [key, what] of Object.entries(does)) assert.equal(blockKey(pressed(key)), what, key);
});

test("strip: keys of the edges of a block", () => {
  for (const part of ["start", "end"]) {
    assert.equal(edgeKey(pressed("ArrowRight"), part), "move");
    assert.equal(edgeKey(pressed("Escape"), part), "block");
    for (const key of ["Delete", "Enter", "a"]) assert.equal(edgeKey(pressed(key), part), null, key);
  }
  assert.equal(edgeKey(pressed("Tab"), "start"), "end");
  assert.equal(edgeKey(pressed("Tab", { shiftKey: true }), "end"), "start");
  assert.equal(edgeKey(pressed("Tab"), "end"), null);
  assert.equal(edgeKey(pressed("Tab", { shiftKey: true }), "start"), null);
});

test("strip: keys of the place to draw", () => {
  const does = { ArrowLeft: "move", ArrowUp: "move", Home: "first", End: "last", Enter: "draw", " ": "draw", Escape: "leave", Delete: null, Tab: null, 1: null };
  for (const [key, what] of Object.entries(does)) assert.equal(cursorKey(pressed(key)), what, key);
});

test("strip: 1 to 9 and then letters are the categories in order, 0 is the eraser", () => {
  const categories = Array.from({ length: 12 }, (_, at) => ({ key: `c${at}` }));
  for (const [key, category] of [["1", "c0"], ["9", "c8"], ["a", "c9"], ["C", "c11"], ["0", "eraser"]]) assert.deepEqual(handKey(pressed(key), categories, "eraser"), { category }, key);
  for (const key of ["d", " ", "Enter", "ArrowLeft"]) assert.equal(handKey(pressed(key), categories, "eraser"), null, key);
  for (const modifier of ["ctrlKey", "metaKey", "altKey", "shiftKey"]) assert.equal(handKey(pressed("a", { [modifier]: true }), categories, "eraser"), null);
});

test("strip: Ctrl+Z undoes, with Shift or as Ctrl+Y it does again", () => {
  for (const modifier of ["ctrlKey", "metaKey"]) {
    assert.equal(historyKey(pressed("z", { [modifier]: true })), "undo");
    assert.equal(historyKey(pressed("Z", { [modifier]: true, shiftKey: true })), "redo");
    assert.equal(historyKey(pressed("y", { [modifier]: true })), "redo");
  }
  for (const event of [pressed("z"), pressed("s", { ctrlKey: true }), pressed("z", { ctrlKey: true, altKey: true })]) assert.equal(historyKey(event), null);
});

test("marks: the key of an option takes it, Backspace and Delete take the choice back", () => {
  const options = [{ key: "d" }, { key: "n" }, {}, { key: "3" }];
  assert.deepEqual(choiceKey(pressed("d"), options), { place: 0 });
  assert.deepEqual(choiceKey(pressed("N"), options), { place: 1 });
  assert.deepEqual(choiceKey(pressed("3"), options), { place: 3 });
  for (const key of ["Backspace", "Delete"]) assert.deepEqual(choiceKey(pressed(key), options), { place: null });
  for (const key of ["x", "Tab", "ArrowLeft"]) assert.equal(choiceKey(pressed(key), options), null, key);
});

test("marks: a key with Ctrl, Cmd or Alt is the browser's", () => {
  for (const modifier of ["ctrlKey", "metaKey", "altKey"]) assert.equal(choiceKey(pressed("d", { [modifier]: true }), [{ key: "d" }]), null);
});

test("ranks: a digit up to the number of ranks, 0 takes it away", () => {
  for (const rank of [1, 2, 3]) assert.deepEqual(rankKey(pressed(String(rank)), 3), { rank });
  assert.deepEqual(rankKey(pressed("0"), 3), { rank: null });
  for (const key of ["4", "a", " ", "Enter", "F1", "11"]) assert.equal(rankKey(pressed(key), 3), null, key);
});

test("rows: arrows up and down, without another key", () => {
  assert.deepEqual(["ArrowUp", "ArrowDown", "ArrowLeft", "Home"].map((key) => rowKey(pressed(key))), [-1, 1, 0, 0]);
  assert.equal(rowKey(pressed("ArrowDown", { altKey: true })), 0);
});

test("cards: Ctrl+Enter and Cmd+Enter, back with Shift", () => {
  assert.deepEqual([{ ctrlKey: true }, { metaKey: true }, { ctrlKey: true, shiftKey: true }, {}].map((keys) => cardKey(pressed("Enter", keys))), [1, 1, -1, 0]);
  assert.equal(cardKey(pressed("s", { ctrlKey: true })), 0);
  assert.equal(cardKey(pressed("Enter", { ctrlKey: true, isComposing: true })), 0);
});

test("month: arrows go one cell, Home and End to the ends of the row", () => {
  const to = { ArrowUp: [3, 5], ArrowDown: [5, 5], ArrowLeft: [4, 4], ArrowRight: [4, 6], Home: [4, 0], End: [4, 30] };
  for (const [key, cell] of Object.entries(to)) assert.deepEqual(gridMove(pressed(key), [4, 5], SIZE), cell, key);
  for (const key of ["a", " ", "Tab"]) assert.equal(gridMove(pressed(key), [1, 5], SIZE), null, key);
});

test("month: at a border an arrow stays", () => {
  for (const key of ["ArrowUp", "ArrowLeft"]) assert.deepEqual(gridMove(pressed(key), [0, 0], SIZE), [0, 0]);
  for (const key of ["ArrowDown", "ArrowRight"]) assert.deepEqual(gridMove(pressed(key), [8, 30], SIZE), [8, 30]);
});

test("month: a key with Ctrl, Cmd or Alt is the browser's", () => {
  for (const modifier of ["ctrlKey", "metaKey", "altKey"]) {
    assert.equal(gridMove(pressed("ArrowLeft", { [modifier]: true }), [1, 5], SIZE), null);
    assert.equal(monthKey(pressed("d", { [modifier]: true }), { kind: "plain" }, ""), null);
  }
});

test("month: keys of a habit that is done or not", () => {
  const habit = { kind: "plain" };
  const marks = { d: true, D: true, n: false, r: "rest", Backspace: null, Delete: null };
  for (const [key, mark] of Object.entries(marks)) assert.deepEqual(monthKey(pressed(key), habit, ""), { what: "mark", mark, typed: "" }, key);
  for (const key of [" ", "Enter"]) assert.deepEqual(monthKey(pressed(key), habit, ""), { what: "cycle" });
  for (const key of ["5", "x", "Tab", "."]) assert.equal(monthKey(pressed(key), habit, ""), null, key);
});

test("month: a mood takes digits alone, and a tick no rest", () => {
  for (const key of ["r", "d", " "]) assert.equal(monthKey(pressed(key), { kind: "scale" }, ""), null, key);
  assert.equal(monthKey(pressed("4"), { kind: "scale", target: null }, "").mark, 4);
  assert.equal(monthKey(pressed("r"), { kind: "tick" }, ""), null);
  assert.equal(monthKey(pressed("d"), { kind: "tick" }, "").mark, true);
});

test("month: keys of a habit that is counted", () => {
  const habit = { kind: "counted", target: 20 };
  assert.equal(monthKey(pressed("d"), habit, "").mark, 20);
  assert.equal(monthKey(pressed("d"), { kind: "counted", target: null }, "").mark, 1);
  assert.equal(monthKey(pressed("n"), habit, "").mark, 0);
  assert.equal(monthKey(pressed("r"), habit, "").mark, "rest");
  assert.equal(monthKey(pressed("x"), habit, ""), null);
});

test("month: digits make a count one after another, Backspace takes the last one back", () => {
  const habit = { kind: "counted", target: 20 };
  const type = (key, typed) => monthKey(pressed(key), habit, typed);
  assert.deepEqual(type("1", ""), { what: "mark", mark: 1, typed: "1" });
  assert.deepEqual(type("2", "1"), { what: "mark", mark: 12, typed: "12" });
  assert.deepEqual(type(",", "12"), { what: "mark", mark: 12, typed: "12." });
  assert.deepEqual(type("5", "12."), { what: "mark", mark: 12.5, typed: "12.5" });
  assert.deepEqual(type("Backspace", "12"), { what: "mark", mark: 1, typed: "1" });
  assert.deepEqual(type("Backspace", "1"), { what: "mark", mark: null, typed: "" });
});

test("month: what makes no number yet is no mark", () => {
  const habit = { kind: "counted", target: 20 };
  for (const [key, typed] of [[".", ""], [".", "1."], ["Backspace", ".5"]]) assert.equal(monthKey(pressed(key), habit, typed).mark, undefined);
});

test("previews: arrows, Home and End go from page to page and not beyond", () => {
  assert.equal(previewKey(pressed("ArrowRight"), 2, 5), 3);
  assert.equal(previewKey(pressed("ArrowLeft"), 2, 5), 1);
  assert.equal(previewKey(pressed("Home"), 3, 5), 1);
  assert.equal(previewKey(pressed("End"), 3, 5), 5);
  for (const [key, at] of [["ArrowRight", 5], ["ArrowLeft", 1], ["a", 2], ["ArrowRight", 0]]) assert.equal(previewKey(pressed(key), at, 5), null, key);
});

test("a large page turns by the arrows and the page keys", () => {
  const by = { ArrowRight: 1, PageDown: 1, ArrowLeft: -1, PageUp: -1, ArrowUp: 0, a: 0 };
  for (const [key, pages] of Object.entries(by)) assert.equal(turnKey(pressed(key)), pages, key);
});

test("Enter leaves a line, but not with Shift nor while letters are composed", () => {
  assert.equal(leavesLine(pressed("Enter")), true);
  for (const event of [pressed("Enter", { shiftKey: true }), pressed("Enter", { isComposing: true }), pressed("a")]) assert.equal(leavesLine(event), false);
});

test("one step back: Ctrl+Z or Cmd+Z, nothing with Shift", () => {
  for (const event of [pressed("z", { ctrlKey: true }), pressed("Z", { metaKey: true })]) assert.equal(stepsBack(event), true);
  for (const event of [pressed("z"), pressed("z", { ctrlKey: true, shiftKey: true }), pressed("y", { ctrlKey: true })]) assert.equal(stepsBack(event), false);
});

test("a field for text has a step back of its own, a box to tick has none", () => {
  const texts = [{ tagName: "TEXTAREA" }, { tagName: "INPUT", type: "text" }, { tagName: "INPUT", type: "date" }, { tagName: "DIV", isContentEditable: true }];
  for (const element of texts) assert.equal(inTextField(element), true);
  for (const element of [{ tagName: "INPUT", type: "checkbox" }, { tagName: "INPUT", type: "radio" }, { tagName: "BUTTON" }]) assert.equal(Boolean(inTextField(element)), false);
});
