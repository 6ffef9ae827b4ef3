"""A real Chromium on a real server, in which any request that is not to the server, and any error, fails the test."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, Playwright, expect, sync_playwright

from tests.chromium import ARGUMENTS, chromium

expect.set_options(timeout=30_000)  # the first page waits for every import; none of this is about speed

SERVE = (
    "import sys, datetime, pathlib; from journal.pages.server import serve; "
    "serve(pathlib.Path(sys.argv[1]), port=0, today=datetime.date.fromisoformat(sys.argv[2]), "
    "open_browser=False, announce=lambda text: print(text, flush=True))"
)


class Served:
    """A journal that is being served: its folder, its origin, the address that opens it, its home folder."""

    def __init__(self, folder: Path, address: str, home: Path) -> None:
        self.folder = folder
        self.address = address
        self.home = home
        self.origin = address.partition("/week")[0]
        self.token = address.partition("token=")[2]

    def opening(self, page: str, query: str = "") -> str:
        """The address that opens a page for the first time."""
        return f"{self.origin}/{page}?token={self.token}&{query}"


Serve = Callable[[Path, str], Served]


@pytest.fixture(scope="module")
def serve(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Serve]:
    """Serves a folder as of a day, from a process with a home folder of its own; ends with the module."""
    running = []

    def start(folder: Path, today: str) -> Served:
        home = tmp_path_factory.mktemp("home")
        environment = {k: v for k, v in os.environ.items() if not k.startswith(("XDG_", "DUSKBOOK_", "MARIMO_"))}
        process = subprocess.Popen(
            [sys.executable, "-c", SERVE, str(folder), today],
            stdout=subprocess.PIPE,
            text=True,
            env=environment | {"HOME": str(home), "PYTHONDONTWRITEBYTECODE": "1"},
        )
        running.append(process)
        assert process.stdout is not None
        return Served(folder, process.stdout.readline().strip(), home)

    yield start
    for process in running:
        process.send_signal(signal.SIGINT)
        process.communicate(timeout=20)
    assert [process.returncode for process in running] == [0] * len(running), "Ctrl-C did not end it quietly"


@pytest.fixture(scope="module")
def playwright() -> Iterator[Playwright]:
    with sync_playwright() as started:
        yield started


@pytest.fixture(scope="module")
def browser(playwright: Playwright) -> Iterator[Browser]:
    launched = playwright.chromium.launch(executable_path=chromium(), args=ARGUMENTS)
    yield launched
    launched.close()


class Watched:
    """What a page did that it must not: requests elsewhere, errors on its console, exceptions."""

    def __init__(self, context: BrowserContext, origin: str) -> None:
        self.origin = origin
        self.found: list[str] = []
        context.on("request", lambda request: self._asked(request.url))
        context.on("console", lambda message: self._said(message.type, message.text))
        context.on("weberror", lambda error: self.found.append(f"exception: {error.error}"))

    def _asked(self, url: str) -> None:
        if not url.startswith((f"{self.origin}/", "data:", "blob:")):
            self.found.append(f"request: {url}")

    def _said(self, kind: str, text: str) -> None:
        if kind == "error":
            self.found.append(f"console: {text}")


Contexts = dict[tuple[int, str, str], tuple[BrowserContext, Watched]]
NewPage = Callable[..., Page]


@pytest.fixture(scope="module")
def contexts() -> Iterator[Contexts]:
    """Kept through a module, so that the scripts of a page are fetched once and then come from the browser's cache."""
    kept: Contexts = {}
    yield kept
    for context, _ in kept.values():
        context.close()


@pytest.fixture
def new_page(browser: Browser, contexts: Contexts) -> Iterator[NewPage]:
    """Makes a page for a served journal; at the test's end, whatever a page did that it must not fails it."""
    made: list[tuple[Page, Watched]] = []

    def make(served: Served, width: int = 1280, scheme: str = "light", reader: str = "") -> Page:
        key = (width, scheme, reader)
        if key not in contexts:
            context = browser.new_context(
                viewport={"width": width, "height": 900},
                color_scheme="dark" if scheme == "dark" else "light",
                reduced_motion="reduce",
            )
            context.set_default_timeout(60_000)
            contexts[key] = context, Watched(context, served.origin)
        context, watched = contexts[key]
        watched.found.clear()
        page = context.new_page()
        made.append((page, watched))
        return page

    yield make
    for page, _ in made:
        page.close()
    assert not [line for _, watched in made for line in watched.found]
