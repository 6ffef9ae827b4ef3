"""marimo, imported once and in this server's way: by whoever needs it first, and not before.

By default marimo writes a log and a state to the home folder. Here it writes none.
"""

from __future__ import annotations

import contextlib
import importlib
import logging
import os
import sys
import threading
from collections.abc import Iterator
from typing import Any

_importing = threading.RLock()


def imported() -> Any:
    """The module."""
    with _importing:
        if "marimo" not in sys.modules:
            with _nothing_kept_at_home():
                # Both import IPython: in two threads at once, a first sight and a session that starts, it would fail.
                importlib.import_module("anywidget")
                importlib.import_module("marimo")
            # Its list of recent notebooks cannot be written either. Users need no warning about that.
            logging.getLogger("marimo").addFilter(lambda record: record.module != "recents")
        return sys.modules["marimo"]


@contextlib.contextmanager
def _nothing_kept_at_home() -> Iterator[None]:
    """Set marimo's log and state folders to a path where no folder can exist, while it is imported.

    marimo reads both paths once, at import, and does without folders that it cannot create. Afterwards the environment
    is restored, so that a browser started from here finds its own folders.
    """
    names = ("XDG_CACHE_HOME", "XDG_STATE_HOME")
    before = {name: os.environ.get(name) for name in names}
    os.environ.update(dict.fromkeys(names, os.devnull))
    try:
        yield
    finally:
        for name, value in before.items():
            if value is None:
                os.environ.pop(name, None)
            else:
                os.environ[name] = value
