import assert from "node:assert/strict";
import { test } from "node:test";

import { base64Of, otherCaption, pictureFiles, pictureName, refusals } from "../../../journal/pages/browser/picture_files.js";

test("pictures are told from other files by their ending or their kind", () => {
  const files = [{ name: "a.JPG", type: "" }, { name: "b", type: "image/png" }, { name: "c.gif", type: "image/gif" }, { name: "d.heic", type: "" }, { name: "e.txt", type: "text/plain" }];
  const { pictures, others } = pictureFiles(files);
  assert.deepEqual(pictures.map(({ name }) => name), ["a.JPG", "b", "d.heic"]);
  assert.deepEqual(others, ["c.gif", "e.txt"]);
  assert.equal(pictureName({ name: "album\\2025/a.jpg" }), "a.jpg");
});

test("the bytes of a file as text, also of more than one part", async () => {
  const bytes = new Uint8Array(100000).map((_, place) => place % 251);
  const text = await base64Of({ arrayBuffer: async () => bytes.buffer });
  assert.deepEqual([...atob(text)].map((sign) => sign.charCodeAt(0)), [...bytes]);
});

test("what is told of a refused save", () => {
  const clash = { field: "captions.a.jpg", theirs: "The bench." };
  assert.deepEqual(refusals({ problems: [{ message: "Too large." }], conflict: [], lost: "" }), ["Too large."]);
  assert.equal(refusals({ problems: [], conflict: [clash, clash], lost: "" }).length, 1);
  assert.equal(otherCaption({ conflict: [clash] }), "The bench.");
  assert.equal(otherCaption({ conflict: [{ field: "captions.a.jpg", theirs: null }] }), "");
  assert.equal(otherCaption({ conflict: [] }), null);
});
