import assert from "node:assert/strict";
import { test } from "node:test";

import { decisionName, decisionPlace, DECISIONS, estimateText, fileText, mergeDecisions, pathOf, sameTask, undatedSummary } from "../../../journal/pages/browser/triage_merge.js";

const task = (ref, title, change = {}) => ({ ref, title, estimate: 45, where: "tomorrow", ...change });
const decided = (change = {}) => ({ what: "shrink", to: null, title: "Quote", estimate: "45", ...change });
const list = (...tasks) => ({ tasks });

test("four weeks are said of the tasks alone of which they are known", () => {
  const said = (...waits) => undatedSummary(waits.map((one) => ({ waits: one })));
  assert.equal(said("long", "long"), "Without a day for four weeks or more, 2");
  assert.equal(said("unknown"), "Without a day, 1: 1 with no first day noted");
  assert.equal(said("long", "unknown", "short", "unknown"), "Without a day, 4: 1 for four weeks or more, 2 with no first day noted");
  assert.equal(said("short"), "Without a day, 1");
});

test("a decision stays with its task in a newer list that has not changed", () => {
  const before = list(task("2025-03-13/t1", "Quote"), task("2025-03-13/t2", "Invoice"));
  const given = { "2025-03-13/t1": decided() };
  assert.deepEqual(mergeDecisions(before, before, given), { kept: given, changed: [] });
});

test("a task is the same on another page under its id, or by its title", () => {
  const [quote, other] = [task("2025-03-14/t1", "Other words"), task("2025-03-14/t2", "Invoice")];
  assert.equal(sameTask(task("2025-03-13/t1", "Quote"), [other, quote]), quote);
  assert.equal(sameTask(task("undated/t9", "Invoice"), [quote, other]), other);
  assert.equal(sameTask(task("2025-03-13/t8", "Gone"), [quote, other]), undefined);
  assert.equal(sameTask(task("2025-03-14/t2", "Other words"), [quote, other]), other);
});

test("a decision follows its task to another page, which is reported", () => {
  const [was, is] = [task("2025-03-13/t1", "Quote"), task("2025-03-14/t1", "Quote", { where: "Friday" })];
  const { kept, changed } = mergeDecisions(list(was), list(is), { [was.ref]: decided() });
  assert.deepEqual(kept, { [is.ref]: decided() });
  assert.deepEqual(changed, [{ task: was, now: is, mine: decided() }]);
});

test("a task no longer on the list loses its decision, which is reported", () => {
  const was = task("2025-03-13/t1", "Quote");
  assert.deepEqual(mergeDecisions(list(was), list(), { [was.ref]: decided() }), { kept: {}, changed: [{ task: was, now: undefined, mine: decided() }] });
});

test("unchanged titles and minutes follow the task, typed ones stay", () => {
  const was = task("p/t1", "Quote");
  const is = task("p/t1", "Quote, again", { estimate: 60 });
  const kept = (mine) => mergeDecisions(list(was), list(is), { "p/t1": decided(mine) }).kept["p/t1"];
  assert.deepEqual(kept({}), decided({ title: "Quote, again", estimate: "60" }));
  assert.deepEqual(kept({ title: "Half a quote" }), decided({ title: "Half a quote", estimate: "60" }));
  assert.deepEqual(kept({ estimate: "10" }), decided({ title: "Quote, again", estimate: "10" }));
});

test("a task without a decision is not reported", () => {
  const { kept, changed } = mergeDecisions(list(task("p/t1", "Quote"), task("p/t2", "Invoice")), list(task("p/t1", "New words")), {});
  assert.deepEqual([kept, changed], [{}, []]);
});

test("each change of title, minutes or place is reported", () => {
  for (const change of [{ title: "x" }, { estimate: 1 }, { where: "x" }]) {
    const { changed } = mergeDecisions(list(task("p/t1", "Quote")), list(task("p/t1", "Quote", change)), { "p/t1": decided() });
    assert.equal(changed.length, 1, JSON.stringify(change));
  }
});

test("decisions and minutes in words", () => {
  assert.deepEqual(DECISIONS.map((one) => decisionName(one.value)), ["do it tomorrow", "make it smaller", "set a day", "drop it"]);
  assert.deepEqual([estimateText(null), estimateText(undefined), estimateText(0), estimateText(45)], ["", "", "0", "45"]);
});

test("the file's value in conflict with a decision", () => {
  assert.equal(fileText("decisions.0", null), "it was taken out");
  assert.equal(fileText("decisions.0.estimate", undefined), "it was taken out");
  assert.equal(fileText("decisions.0", { title: "Quote", estimate: 45, status: "done" }), "Quote, 45 min, done");
  assert.equal(fileText("decisions.0", { title: "Quote", estimate: null }), "Quote");
  assert.equal(fileText("decisions.0.estimate", 45), "45 min");
  assert.equal(fileText("decisions.0.status", "done"), "done");
});

test("a problem of a decision belongs to the row of its task, whose name has no dot", () => {
  const tasks = [task("a/t1", "Quote"), task("b.c/t2", "Invoice")];
  assert.equal(pathOf(tasks[1]), "decided b·c/t2");
  assert.equal(decisionPlace("decisions.1", tasks), "decided b·c/t2");
  assert.equal(decisionPlace("decisions.0.to", tasks), "decided a/t1.to");
  assert.deepEqual([decisionPlace("decisions.2.to", tasks), decisionPlace("other.0", tasks)], ["", ""]);
});
