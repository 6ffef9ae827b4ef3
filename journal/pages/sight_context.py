"""What a notebook is told when it is run for the first sight of its page, in place of a session with a browser.

    with drawing({"month": "2025-03"}) as sight:
        ...                         # in this thread, `query_params()` has the parameters, and `made` collects widgets

Outside of it the notebooks run as ever: `query_params()` is marimo's.
"""

from __future__ import annotations

import contextlib
import threading
from collections.abc import Iterator, Mapping
from typing import Any


class SightQuery(dict[str, str]):
    """The parameters of an address, with the methods of marimo's that the notebooks use. A change shows nowhere."""

    def to_dict(self) -> dict[str, str]:
        """The parameters as a plain dict."""
        return dict(self)

    def remove(self, name: str) -> None:
        """Remove a parameter, if it is there."""
        self.pop(name, None)


class Sight:
    """A first sight that is being drawn: its parameters, and the widgets made for it."""

    def __init__(self, query: Mapping[str, str]) -> None:
        self.query = SightQuery(query)
        self._widgets: list[tuple[str, dict[str, Any]]] = []

    def take(self, module: str, values: dict[str, Any]) -> int:
        """Take note of a widget. Returns its number."""
        self._widgets.append((module, values))
        return len(self._widgets) - 1

    def values(self, number: object) -> tuple[str, dict[str, Any]] | None:
        """The module of a widget and the values that its browser part reads. None for a widget that is not ours."""
        return self._widgets[number] if isinstance(number, int) else None


_local = threading.local()


@contextlib.contextmanager
def drawing(query: Mapping[str, str]) -> Iterator[Sight]:
    """Draw a first sight in this thread.

    >>> with drawing({"month": "2025-03"}):
    ...     query_params().to_dict()
    {'month': '2025-03'}
    """
    _local.sight = sight = Sight(query)
    try:
        yield sight
    finally:
        _local.sight = None


def is_drawing() -> bool:
    """Whether a first sight is being drawn in this thread."""
    return getattr(_local, "sight", None) is not None


def query_params() -> Any:
    """The parameters of the page's address: of the first sight that is being drawn, else those of marimo."""
    sight = getattr(_local, "sight", None)
    if sight is not None:
        return sight.query
    import marimo as mo  # noqa: PLC0415 - the server names this module before it imports marimo

    return mo.query_params()


def made(module: str, values: dict[str, Any]) -> int:
    """Take note of a widget of the first sight that is being drawn. Returns its number, which its element has.

    `module` is its module in `journal/pages/browser/`, `values` what that reads.
    """
    sight: Sight = _local.sight
    return sight.take(module, values)
