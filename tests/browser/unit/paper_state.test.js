import assert from "node:assert/strict";
import { test } from "node:test";

import { MOST_BYTES, MOST_FILES, cropOf, saveWords, sent, sheetFiles } from "../../../journal/pages/browser/paper_state.js";

test("files that may be sheets are told from others", () => {
  const files = [{ name: "a.JPG", type: "", size: 9 }, { name: "b", type: "application/pdf", size: 9 }, { name: "c.txt", type: "text/plain", size: 9 }, { name: "d.png", type: "", size: MOST_BYTES + 1 }];
  const { chosen, told } = sheetFiles(files);
  assert.deepEqual(chosen.map(({ name }) => name), ["a.JPG", "b"]);
  assert.deepEqual(told, ["c.txt is no picture in JPEG, PNG or HEIC, and no scan as PDF.", "d.png has more than 60 MB; make it smaller first."]);
  const many = sheetFiles(Array.from({ length: MOST_FILES + 2 }, (_, nth) => ({ name: `${nth}.jpg`, type: "", size: 1 })));
  assert.deepEqual([many.chosen.length, many.told], [MOST_FILES, ["At most 20 files are read at once; the others are left out."]]);
});

test("what was read goes back with the answers that were given", () => {
  const photographs = [{ read: "one", crops: { a: "A" } }, { read: "two", crops: { b: "B" } }];
  assert.deepEqual(sent(photographs, { a: "yes", b: " " }), { read: ["one", "two"], answers: { a: "yes" } });
  assert.deepEqual([cropOf(photographs, "b"), cropOf(photographs, "c")], ["B", null]);
  const words = (pages, asked, lines) => saveWords({ pages, asked, lines });
  assert.deepEqual([words(0, 0, 0), words(1, 2, 1), words(3, 0, 0)], ["Nothing to write", "Write 1 page", "Write 3 pages"]);
  assert.deepEqual([words(0, 2, 1), words(0, 0, 1)], ["Write the answers", "Keep the lines"]);
});
