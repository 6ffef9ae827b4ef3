"""Unit tests of the browser's code (`unit/*.test.js`): the same files in Chromium, and in node if it is installed.

By hand: `node --test tests/browser/unit/`.
"""

from __future__ import annotations

import gzip
import re
import shutil
import subprocess
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, Response, Route, expect

from journal.pages.book_widget import YearBook
from journal.pages.browser_modules import ROUTE, route_path, served_file, widget_source
from journal.pages.forms import (
    DayForm,
    DayPictures,
    EarlierStates,
    EveningForm,
    Form,
    HabitDecisions,
    PageCopies,
    ReviewForm,
    SettingsForm,
    TimeOff,
    TriageForm,
    WeekAheadForm,
)
from tests.browser.conftest import NewPage, Served

PROJECT = Path(__file__).parents[2]
UNIT = Path(__file__).parent / "unit"
FILES = sorted(UNIT.glob("*.test.js"))
# Reserved (RFC 6761), and every request to it is answered here. The browser encrypts for this machine only.
ORIGIN = "http://unit.localhost"
NO_KEY = "journal/drafts-key"  # the pages' server gives it; without one, values last as long as the page
SERVED = ("tests/browser/unit/", "journal/pages/browser/")

# In a browser, an import map replaces node's test modules by ours.
PAGE = """<!doctype html><meta charset="utf-8"><title>Unit tests</title><script type="importmap">
{"imports": {"node:test": "/tests/browser/unit/runtime.js", "node:assert/strict": "/tests/browser/unit/runtime.js"}}
</script>"""

RUN = """async (address) => {
    await import(address);
    return await (await import("/tests/browser/unit/runtime.js")).run();
}"""

Results = list[dict[str, Any]]
RunFile = Callable[[str], Results]


def count_tests(path: Path) -> int:
    """The number of tests in a file, to detect tests that did not run."""
    return len(re.findall(r"^test\(", path.read_text(encoding="utf-8"), re.MULTILINE))


def failures(results: Results) -> str:
    return "\n\n".join(f"{result['name']}\n{result['failed']}" for result in results if result["failed"] is not None)


@pytest.fixture
def extra_files() -> dict[str, str]:
    """Extra files of a test, by path."""
    return {}


class UnitTab:
    """A tab with files of the project alone. Requests for any other file are kept."""

    def __init__(self, browser: Browser) -> None:
        self.extra_files: dict[str, str] = {}
        self.rejected: list[str] = []
        self.context = browser.new_context()
        self.context.route("**/*", self._answer)
        self.page = self.context.new_page()

    def _answer(self, route: Route) -> None:
        name = route.request.url.removeprefix(f"{ORIGIN}/")
        if name == "":
            route.fulfill(body=PAGE, content_type="text/html")
        elif name == NO_KEY:
            route.fulfill(status=404)
        elif name in self.extra_files:
            route.fulfill(body=self.extra_files[name], content_type="text/javascript")
        elif name.startswith(SERVED) and (PROJECT / name).is_file():
            route.fulfill(path=PROJECT / name, content_type="text/javascript")
        else:
            self.rejected.append(route.request.url)
            route.abort()


@pytest.fixture(scope="package")
def unit_tab(browser: Browser) -> Iterator[UnitTab]:
    """The tab of all these tests: a new one is a process of its own, which takes most of a test's time."""
    tab = UnitTab(browser)
    yield tab
    tab.context.close()


@pytest.fixture
def blank(unit_tab: UnitTab, extra_files: dict[str, str]) -> Iterator[Page]:
    """A page with the import map only, and nothing of the test before. A request for any other file fails the test."""
    unit_tab.extra_files, unit_tab.rejected = extra_files, []
    unit_tab.page.goto(f"{ORIGIN}/")  # modules are evaluated anew
    unit_tab.page.evaluate("sessionStorage.clear(), localStorage.clear()")
    yield unit_tab.page
    assert not unit_tab.rejected


@pytest.fixture
def run_file(blank: Page) -> RunFile:
    """A function that runs a test file in Chromium."""

    def run(name: str) -> Results:
        results: Results = blank.evaluate(RUN, f"/tests/browser/unit/{name}")
        return results

    return run


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.name.removesuffix(".test.js"))
def test_in_chromium(run_file: RunFile, path: Path) -> None:
    results = run_file(path.name)
    if failures(results):
        pytest.fail(failures(results), pytrace=False)
    assert len(results) == count_tests(path) > 0


def node() -> str:
    path = shutil.which("node")
    if path is None:
        pytest.skip("there is no node on PATH; the same tests ran in Chromium")
    return path


def run_node(*paths: Path) -> subprocess.CompletedProcess[str]:
    # Pass files one by one: which files of a folder node runs depends on its version.
    command = [node(), "--test", "--test-reporter=tap", *map(str, paths)]
    return subprocess.run(command, cwd=PROJECT, capture_output=True, text=True, check=False)


def test_in_node() -> None:
    result = run_node(*FILES)
    if result.returncode != 0:
        pytest.fail(result.stdout + result.stderr, pytrace=False)
    assert re.findall(r"^# (pass|fail|skipped) (\d+)$", result.stdout, re.MULTILINE) == [
        ("pass", str(sum(map(count_tests, FILES)))), ("fail", "0"), ("skipped", "0"),
    ]  # fmt: skip


FAILING = """import assert from "node:assert/strict";
import { test } from "node:test";
test("one holds", () => assert.equal(1, 1));
test("numbers differ", () => assert.equal(1, 2));
test("parts differ", () => assert.deepEqual({ a: [1] }, { a: [1, undefined] }));
test("keys differ", () => assert.deepEqual({ a: undefined }, { b: undefined }));
test("nothing true", () => assert.ok(0));
test("no match", () => assert.match("abc", /d/));
test("no rejection", () => assert.rejects(async () => {}, /x/));
test("another rejection", () => assert.rejects(async () => { throw new Error("y"); }, /x/));
test("later", async () => { await null; throw new TypeError("broken"); });
"""


def test_a_failing_test_is_reported_by_name_in_chromium(run_file: RunFile, extra_files: dict[str, str]) -> None:
    extra_files["tests/browser/unit/failing.test.js"] = FAILING
    results = run_file("failing.test.js")
    assert [result["name"] for result in results if result["failed"] is None] == ["one holds"]
    assert len(results) == 9
    report = failures(results)
    assert "numbers differ\nError: expected 2, got 1" in report
    assert "later\nTypeError: broken" in report


def test_a_failing_test_is_reported_by_name_in_node(tmp_path: Path) -> None:
    (tmp_path / "package.json").write_text('{ "type": "module" }')
    (tmp_path / "failing.test.js").write_text(FAILING)
    result = run_node(tmp_path / "failing.test.js")
    assert result.returncode != 0
    assert re.findall(r"^\s*ok \d+ - (.*)$", result.stdout, re.MULTILINE) == ["one holds"]
    assert len(re.findall(r"^\s*not ok \d+ - ", result.stdout, re.MULTILINE)) >= 8
    assert "numbers differ" in result.stdout
    assert "broken" in result.stdout


LOAD = """async (source) => {
    const address = URL.createObjectURL(new Blob([source], { type: "text/javascript" }));
    return typeof (await import(address)).default.render;
}"""


WIDGETS = (
    DayForm, DayPictures, EarlierStates, EveningForm, HabitDecisions, PageCopies, ReviewForm, SettingsForm, TimeOff,
    TriageForm, WeekAheadForm, YearBook,
)  # fmt: skip


@pytest.mark.parametrize("widget", WIDGETS)
def test_a_widget_without_the_route_loads_its_modules(
    blank: Page, monkeypatch: pytest.MonkeyPatch, widget: type[Form]
) -> None:
    monkeypatch.delenv(ROUTE, raising=False)
    assert blank.evaluate(LOAD, widget_source(widget._module)) == "function"


def test_with_the_route_the_modules_are_loaded_as_one_file(evening_served: Served, new_page: NewPage) -> None:
    page = new_page(evening_served)
    answers: dict[str, Response] = {}

    def keep(answer: Response) -> None:
        answers[answer.url.removeprefix(evening_served.root)] = answer

    page.on("response", keep)
    page.goto(evening_served.opening("evening"))
    expect(page.locator(".fit-sentence")).to_be_visible()
    ours = [where for where in answers if where.startswith("/browser/")]
    assert ours == [f"/{route_path()}"]
    assert answers[ours[0]].body() == gzip.decompress(served_file())
    widgets = [answer for where, answer in answers.items() if "/@file/" in where]
    assert [len(widget.text()) < 150 for widget in widgets] == [
        True
    ] * 6  # evening, pictures, paper, time off, copies, states
