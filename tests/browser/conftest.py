"""Fixtures: a real Chromium and a real server. Any request to another host and any error on a page fails the test."""

from __future__ import annotations

import contextlib
import os
import re
import shutil
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, Playwright, expect, sync_playwright

from journal.pages import running_server, server_secrets
from journal.pages.entrance_pages import WINDOW_KEY
from tests.browser.evenings import TODAY, Evening, anew, begin
from tests.chromium import ARGUMENTS, chromium

expect.set_options(timeout=30_000)  # the first page waits for all imports; these tests do not measure speed

EXAMPLE = Path(__file__).parents[2] / "example_year"
READ_ON = "2026-01-01"  # today of the reading tests: the day after the example year

# A line on stdin is a date. From then on it is the server's today, as after midnight. Or it is "fault": from then on,
# the sessions of pages, but no first sight, fail in the cell of the findings. "mended" ends that. Or it is "accents":
# from then on, a German journal speaks the language of the tests. "german" ends that.
SERVE = """
import datetime, os, pathlib, sys, threading
from journal.language.languages import GERMAN, LANGUAGES
from journal.pages import page_params, server, sight_context

def turn():
    cards = []
    while line := os.read(0, 64).decode().strip():
        if line == "fault":
            from journal.sections import finding_cards
            cards.append(finding_cards.card)
            finding_cards.card = lambda *of: cards[0](*of) if sight_context.is_drawing() else 1 / 0
        elif line in ("accents", "german"):
            from tests.language.test_moved_parts import PSEUDO
            LANGUAGES["de"] = PSEUDO._replace(code="de") if line == "accents" else GERMAN
        elif line == "mended":
            finding_cards.card = cards.pop()
        else:
            os.environ[page_params.TODAY] = line
        print(line, flush=True)

def tell_faults():
    try:
        turn()
    except BaseException as error:  # an answer all the same: the test would wait for ever
        print(repr(error), flush=True)

threading.Thread(target=tell_faults, daemon=True).start()
folder, today, port = sys.argv[1:]
server.serve(pathlib.Path(folder), port=int(port), today=datetime.date.fromisoformat(today), open_browser=False,
             announce=lambda text: print(text, flush=True))
"""


class Served:
    """A running server of a journal: its folder, its origin, the root of its pages, its home folder.

    It can end and start again at the same port, be set to another day, and let a tab in.
    """

    def __init__(self, folder: Path, today: str, home: Path) -> None:
        self.folder = folder
        self.home = home
        self.today = today
        self.port = 0  # any free port, which later starts reuse
        self.start()

    def start(self) -> None:
        environment = {k: v for k, v in os.environ.items() if not k.startswith(("XDG_", "DUSKBOOK_", "MARIMO_"))}
        self._process = subprocess.Popen(
            [sys.executable, "-c", SERVE, str(self.folder), self.today, str(self.port)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
            # The path is for "accents": the process imports the language of the tests, from wherever it runs.
            env=environment
            | {"HOME": str(self.home), "PYTHONDONTWRITEBYTECODE": "1", "PYTHONPATH": str(EXAMPLE.parent)},
        )
        self.origin = self._read_line().rstrip("/")
        self.code = self._read_line().rpartition(" ")[2]  # opens it once
        self._read_line()  # skip the note on this machine
        self.port = int(self.origin.rpartition(":")[2])
        secrets = server_secrets.lasting(self.folder)
        assert secrets.running is not None
        self.running = secrets.running
        self.root = f"{self.origin}/{secrets.prefix}"

    def _read_line(self) -> str:
        assert self._process.stdout is not None
        return self._process.stdout.readline().strip()

    def turn(self, day: str) -> None:
        """Set the server's today."""
        if day != self.today:
            self._tell(day)
            self.today = day

    @contextlib.contextmanager
    def fault(self) -> Iterator[None]:
        """Let a cell of the sessions of pages fail meanwhile."""
        self._tell("fault")
        yield
        self._tell("mended")

    @contextlib.contextmanager
    def accents(self) -> Iterator[None]:
        """Let a German journal speak the language of the tests meanwhile."""
        self._tell("accents")
        yield
        self._tell("german")

    def _tell(self, line: str) -> None:
        assert self._process.stdin is not None
        self._process.stdin.write(line)
        self._process.stdin.flush()
        assert self._read_line() == line

    def end(self) -> int:
        """Send SIGINT as Ctrl-C does. Returns the exit code."""
        self._process.send_signal(signal.SIGINT)
        self._process.communicate(timeout=20)
        return self._process.returncode

    @contextlib.contextmanager
    def ended(self) -> Iterator[None]:
        """End meanwhile, as by Ctrl-C. It starts again whatever happens: tests share it."""
        assert self.end() == 0, "a page that is open does not keep it"
        try:
            yield
        finally:
            self.start()

    def opening(self, page: str, query: str = "") -> str:
        """The address of a page."""
        return f"{self.root}/{page}/?{query}".rstrip("?")

    def let_in(self, page: Page) -> None:
        """Exchange a new code for the session of the tab's browser context. The tab is left empty."""
        granted = running_server.ask(self.running)
        assert granted is not None
        page.goto(f"{self.origin}/favicon.ico")
        page.evaluate(ENTER, [granted.code, WINDOW_KEY])


# What the page with the code does, without drawing a page afterwards.
ENTER = """async ([code, name]) => {
    const answer = await fetch("/enter", { method: "POST", body: new URLSearchParams({ code }) });
    const [, key] = (await answer.text()).match(/setItem\\("[^"]+", "([^"]+)"\\)/);
    localStorage.setItem(name, key);
}"""

# A tab for the next test: without the drafts of the last, and still let in.
FORGET = """(name) => {
    const key = localStorage.getItem(name);
    sessionStorage.clear();
    localStorage.clear();
    if (key) localStorage.setItem(name, key);
}"""

SIGHT = "#first-sight"


def wait_for_notebooks(page: Page) -> None:
    """Let a tab's navigations, actions and expectations wait until the notebook has taken over from the first sight.

    Until then both are in the document, the notebook hidden. `test_first_sight` looks at that time.
    """

    def waiting(navigate: Callable[..., object]) -> Callable[..., object]:
        def then(*of: Any, **named: Any) -> object:
            answer = navigate(*of, **named)
            page.locator(SIGHT).wait_for(state="detached")
            return answer

        return then

    for name in ("goto", "reload"):
        setattr(page, name, waiting(getattr(page, name)))
    page.add_locator_handler(page.locator(SIGHT), lambda: None)


Serve = Callable[[Path, str], Served]


@contextlib.contextmanager
def _serving(new_home: Callable[[str], Path]) -> Iterator[Serve]:
    """A function that serves a folder as of a day, in a process with its own home folder."""
    running: list[Served] = []

    def start(folder: Path, today: str) -> Served:
        running.append(Served(folder, today, new_home("home")))
        return running[-1]

    yield start
    assert [served.end() for served in running] == [0] * len(running), "Ctrl-C did not end it quietly"


# Expensive fixtures have package scope: they live while tests of this folder run one after the other, and no longer.
# While Playwright runs, no other test of the process can run an event loop.


class Reading:
    """One server for all tests that only read. The content of its folder changes, its day and address do not."""

    def __init__(self, folder: Path, serve: Serve) -> None:
        self.folder = folder
        self._serve = serve
        self._name = ""
        self._served: Served | None = None

    def holds(self, name: str, build: Callable[[Path], object]) -> Served:
        """Serve the journal of that name. It is built in the emptied folder unless it is there already."""
        if name != self._name:
            for path in self.folder.iterdir():
                shutil.rmtree(path) if path.is_dir() else path.unlink()
            build(self.folder)
            self._name = name
        if self._served is None:
            self._served = self._serve(self.folder, READ_ON)
        return self._served


@pytest.fixture(scope="package")
def reading(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Reading]:
    with _serving(tmp_path_factory.mktemp) as serve:
        yield Reading(tmp_path_factory.mktemp("journal"), serve)


def _example(folder: Path) -> None:
    """The example year, with low mood in its last two weeks."""
    shutil.copytree(EXAMPLE, folder, ignore=shutil.ignore_patterns(".cache"), dirs_exist_ok=True)
    for day in range(15, 32):
        page = folder / "2025" / f"2025-12-{day}.toml"
        text = page.read_text(encoding="utf-8")
        page.write_text(re.sub(r"^mood = .*$", "mood = 1", text, flags=re.M), encoding="utf-8")


@pytest.fixture(scope="module")
def served(reading: Reading) -> Served:
    """The server for a module: the example year, unless the module overrides this fixture."""
    return reading.holds("example", _example)


@pytest.fixture(scope="package")
def evening_served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """The server of the small journal of `evenings`, shared by all tests of the evening."""
    folder = tmp_path_factory.mktemp("journal")
    begin(folder)
    with _serving(tmp_path_factory.mktemp) as start:
        yield start(folder, TODAY)


@pytest.fixture
def folder(evening_served: Served) -> Path:
    return evening_served.folder


@pytest.fixture(scope="package")
def playwright() -> Iterator[Playwright]:
    with sync_playwright() as started:
        yield started


@pytest.fixture(scope="package")
def browser(playwright: Playwright) -> Iterator[Browser]:
    launched = playwright.chromium.launch(executable_path=chromium(), args=ARGUMENTS)
    yield launched
    launched.close()


class Watched:
    """Collects forbidden events of a page: requests to other hosts, console errors, exceptions."""

    def __init__(self, context: BrowserContext, origin: str) -> None:
        self.origin = origin
        self.events: list[str] = []
        context.on("request", lambda request: self._check_request(request.url))
        context.on("console", lambda message: self._check_console(message.type, message.text))
        context.on("weberror", lambda error: self.events.append(f"exception: {error.error}"))

    def taken(self) -> list[str]:
        """Return and clear the collected events."""
        events, self.events = self.events, []
        return events

    def _check_request(self, url: str) -> None:
        if not url.startswith((f"{self.origin}/", "data:", "blob:")):
            self.events.append(f"request: {url}")

    def _check_console(self, kind: str, text: str) -> None:
        if kind == "error":
            self.events.append(f"console: {text}")


class Reader:
    """A browser context (cookies, cache) for one served journal, with its tabs.

    Tabs are reused by later tests: a tab's process has the compiled scripts of the pages, which is most of the cost of
    opening a page. A reused tab is empty and has no data of the test before.
    """

    def __init__(self, browser: Browser, served: Served, *, is_let_in: bool) -> None:
        self.blank = f"{served.origin}/favicon.ico"  # same origin, so the tab keeps its process
        self.context = browser.new_context()
        self.context.set_default_timeout(60_000)
        self.watched = Watched(self.context, served.origin)
        self.free: list[Page] = []
        self.free.append(self.new_page())
        if is_let_in:
            served.let_in(self.free[0])

    def new_page(self) -> Page:
        page = self.context.new_page()
        wait_for_notebooks(page)
        return page

    def take(self, width: int, scheme: str) -> Page:
        page = self.free.pop() if self.free else self.new_page()
        self.prepare(page, width, scheme)
        return page

    def prepare(self, page: Page, width: int, scheme: str) -> None:
        page.bring_to_front()  # a background tab renders once a second, and a click waits for two frames
        page.set_viewport_size({"width": width, "height": 900})
        page.emulate_media(
            media="screen", color_scheme="dark" if scheme == "dark" else "light", reduced_motion="reduce"
        )
        page.mouse.move(0, 0)

    def give_back(self, page: Page) -> None:
        page.goto(self.blank)
        page.evaluate(FORGET, WINDOW_KEY)
        self.free.append(page)


STRANGER = "stranger"
"""The reader that is not let in."""

Readers = dict[tuple[str, str], Reader]
NewPage = Callable[..., Page]
Opened = tuple[Page, Reader]


@pytest.fixture(scope="package")
def readers(browser: Browser) -> Iterator[Readers]:
    """Readers by the journal's origin and the reader's name."""
    kept: Readers = {}
    yield kept
    for reader in kept.values():
        reader.context.close()


def _reader(readers: Readers, browser: Browser, served: Served, name: str = "") -> Reader:
    key = (served.origin, name)
    if key not in readers:
        readers[key] = Reader(browser, served, is_let_in=name != STRANGER)
    return readers[key]


@pytest.fixture
def new_page(browser: Browser, readers: Readers) -> Iterator[NewPage]:
    """A function that opens a tab for a served journal. Forbidden events fail the test at its end.

    A tab that `waits` does so for the notebook of each page.
    """
    tabs: list[tuple[Page, Reader]] = []
    early: list[tuple[Page, Reader]] = []

    def make(served: Served, width: int = 1280, scheme: str = "light", reader: str = "", *, waits: bool = True) -> Page:
        owner = _reader(readers, browser, served, reader)
        if not waits:
            page = owner.context.new_page()
            owner.prepare(page, width, scheme)
            early.append((page, owner))
            return page
        page = owner.take(width, scheme)
        tabs.append((page, owner))
        return page

    yield make
    for page, owner in tabs:
        owner.give_back(page)
    for page, _ in early:
        page.close()
    assert not [event for _, owner in [*tabs, *early] for event in owner.watched.taken()]


@pytest.fixture(scope="module")
def opened(request: pytest.FixtureRequest, served: Served, browser: Browser, readers: Readers) -> Iterator[Opened]:
    """The page named by a module's PAGE, opened once. Each test continues from the state of the one before."""
    reader = _reader(readers, browser, served)
    page = reader.take(1280, "light")
    page.goto(served.opening(request.module.PAGE))
    yield page, reader
    reader.give_back(page)


@pytest.fixture
def page(opened: Opened) -> Iterator[Page]:
    """The open page. Forbidden events fail the test."""
    page, reader = opened
    yield page
    assert not reader.watched.taken()


@pytest.fixture(scope="package")
def evening_opened(evening_served: Served, browser: Browser, readers: Readers) -> Opened:
    """The tab that all tests of the evening share."""
    reader = _reader(readers, browser, evening_served)
    return reader.take(1280, "light"), reader


@pytest.fixture
def tab(request: pytest.FixtureRequest, evening_served: Served, evening_opened: Opened) -> Iterator[Page]:
    """The evening's tab, in the state of the test before, with the journal reset."""
    page, reader = evening_opened
    failed = request.session.testsfailed
    evening_served.turn(TODAY)
    begin(evening_served.folder)
    reader.prepare(page, 1280, "light")
    yield page
    if request.session.testsfailed > failed:
        page.goto(reader.blank)  # the next test does not start from a failed state
    assert not reader.watched.taken()


@pytest.fixture
def evening(evening_served: Served, tab: Page) -> Evening:
    """The evening page without any input."""
    return anew(tab, evening_served.opening("evening"))
