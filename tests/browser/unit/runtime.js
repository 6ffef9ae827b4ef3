// A replacement for "node:test" and "node:assert/strict" in a browser, by an import map.

const tests = [];

export function test(name, work) {
  tests.push({ name, work });
}

// Runs the tests registered since the last run. Resolves with [{ name, failed }]; `failed` is null or a message.
export async function run() {
  const results = [];
  for (const { name, work } of tests.splice(0)) {
    let failed = null;
    try {
      await work();
    } catch (error) {
      failed = `${error.name}: ${error.message}\n${error.stack || ""}`;
    }
    results.push({ name, failed });
  }
  return results;
}

const shown = (value) => (typeof value === "function" ? String(value) : JSON.stringify(value, (_, one) => (one === undefined ? "undefined" : one)));

function fail(what, message) {
  throw new Error(message ? `${message}: ${what}` : what);
}

function alike(one, other) {
  if (Object.is(one, other)) return true;
  if (typeof one !== "object" || typeof other !== "object" || one === null || other === null) return false;
  if (Array.isArray(one) !== Array.isArray(other)) return false;
  const [keys, others] = [Object.keys(one), Object.keys(other)];
  return keys.length === others.length && keys.every((key) => Object.hasOwn(other, key) && alike(one[key], other[key]));
}

const equal = (actual, expected, message) => Object.is(actual, expected) || fail(`expected ${shown(expected)}, got ${shown(actual)}`, message);
const notEqual = (actual, other, message) => !Object.is(actual, other) || fail(`expected anything but ${shown(other)}`, message);
const deepEqual = (actual, expected, message) => alike(actual, expected) || fail(`expected ${shown(expected)}, got ${shown(actual)}`, message);
const ok = (value, message) => value || fail(`expected something true, got ${shown(value)}`, message);
const match = (text, pattern, message) => pattern.test(text) || fail(`expected ${pattern}, got ${shown(text)}`, message);

async function rejects(promise, pattern, message) {
  let error = null;
  try {
    await (typeof promise === "function" ? promise() : promise);
  } catch (caught) {
    error = caught;
  }
  if (!error) fail("expected a rejection", message);
  match(String(error), pattern, message);
}

export default { equal, notEqual, deepEqual, ok, match, rejects };
