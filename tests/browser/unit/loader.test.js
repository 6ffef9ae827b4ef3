import assert from "node:assert/strict";
import { test } from "node:test";

import { loadModules } from "../../../journal/pages/browser/loader.js";

const address = (text) => `data:text/javascript,${encodeURIComponent(text)}`;

test("a module is loaded with those that it imports, each once", async () => {
  const made = [];
  const texts = {
    "first.js": 'import { two } from "./middle.js";\nimport { ONE } from "./base.js";\nexport default { two, ONE };\n',
    "middle.js": 'import { ONE } from "./base.js";\nexport const two = () => ONE + 1;\n',
    "base.js": "export const ONE = 1;\n",
    "unused.js": "export const NONE = 0;\n",
  };
  const loaded = await loadModules(texts, "first.js", (text) => {
    made.push(text.length);
    return address(text);
  });
  assert.deepEqual([loaded.default.two(), loaded.default.ONE], [2, 1]);
  assert.equal(made.length, 3);
});

test("text that only looks like an import of an unknown module stays", async () => {
  const loaded = await loadModules({ "first.js": 'export default "./other.js";\n' }, "first.js", address);
  assert.equal(loaded.default, "./other.js");
});

test("a text with a dollar sign comes through as it is", async () => {
  const texts = { "first.js": 'import { price } from "./base.js";\nexport default price;\n', "base.js": 'export const price = "$& $1";\n' };
  assert.equal((await loadModules(texts, "first.js", address)).default, "$& $1");
});

test("modules that import each other are refused", async () => {
  const texts = { "first.js": 'import { a } from "./other.js";\n', "other.js": 'import { b } from "./first.js";\n' };
  await assert.rejects(() => loadModules(texts, "first.js", address), /first\.js imports itself by way of others/);
});
