"""A small part of `tests.promises.server_memory`: what the server holds of pages that are closed."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

from journal.charts import kept_drawings
from tests import journals
from tests.entering import read_announced
from tests.promises.open_pages import PAGES, DrawlessBrowser

# A server whose pages end when they are closed. At each line on stdin it prints what it holds of pages.
SERVE = """
import collections, gc, json, pathlib, sys, threading
from journal.pages import mounted_notebooks, page_sessions, server

def tell():
    for _ in sys.stdin:
        gc.collect()
        kinds = collections.Counter(kind.__name__ for kind in map(type, gc.get_objects()) for kind in kind.__mro__)
        held = {name: kinds[name] for name in ("Journal", "AnyWidget", "Layout", "MarimoComm", "UIElement", "Kernel")}
        print(json.dumps(held | {"threads": threading.active_count()}), flush=True)

mounted_notebooks._SESSION_SECONDS = page_sessions._TOGETHER_SECONDS = 0
threading.Thread(target=tell, daemon=True).start()
server.serve(pathlib.Path(sys.argv[1]), port=0, open_browser=False)
"""


@pytest.mark.skipif(sys.platform == "win32", reason="it is ended by a signal")
def test_nothing_is_held_of_a_closed_page(tmp_path: Path) -> None:
    """Each reload left its journal and its notebook: 180 of them took the server from 284 to 695 MB."""
    folder = journals.write(tmp_path / "journal", {})
    command = subprocess.Popen(
        [sys.executable, "-c", SERVE, str(folder)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        env=os.environ | {"HOME": str(tmp_path), "PYTHONUNBUFFERED": "1"},
    )
    assert command.stdin is not None
    assert command.stdout is not None

    def held() -> dict[str, int]:
        assert command.stdin is not None
        assert command.stdout is not None
        print(file=command.stdin, flush=True)
        return dict(json.loads(command.stdout.readline()))

    try:
        with DrawlessBrowser(*read_announced(command)) as browser:
            command.stdout.readline()  # the note on this machine
            before = held()
            tabs = [browser.open(page) for page in PAGES]
            open_now = held()
            for tab in tabs:
                tab.close()
            left = open_now
            for _ in range(60):
                if not (left := {name: count for name, count in held().items() if count > before[name]}):
                    break
                time.sleep(0.5)
    finally:
        command.kill()
        command.communicate()
    more = {name: open_now[name] - before[name] for name in before}
    assert more.pop("Journal") >= 1, "the pages may share one"
    assert min(more.values()) >= len(PAGES)
    assert left == {}
    assert (folder / ".cache" / kept_drawings.BELOW).is_dir(), "a page keeps its figures"
