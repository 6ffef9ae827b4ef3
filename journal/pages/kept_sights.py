"""First sights that were drawn, kept while what they are drawn from is the same. Opening a page again is then a read.

    kept = KeptSights()
    state = kept.state("month")                     # before it is drawn
    kept.given("month", "", state)                  # the answer, or None
    kept.keep("month", "", state, answer)

They are in memory only. The state is looked up in the files each time, so an edit by any program, a box that was closed
and the turn of the day count at once.
"""

from __future__ import annotations

import datetime as dt
import threading
from collections.abc import Hashable

from journal.errors import FolderError
from journal.folder import dismissed_boxes
from journal.folder.reading import read_settings
from journal.pages import file_watch, page_params

_CLOCK_PAGES = ("day",)  # they show the time, to the minute
_MOST = 12


class KeptSights:
    """The last answers, by page and query."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._answers: dict[tuple[str, str], tuple[Hashable, bytes]] = {}

    def state(self, page: str) -> Hashable:
        """What a page is drawn from besides its address: the files, the language, the day, closed boxes. None without a
        journal."""
        try:
            folder = page_params.folder(None)
            now = dt.datetime.now().astimezone()
            files = file_watch.seen(folder)
            settings = read_settings(folder).settings
            today = page_params.today(now)(settings)
        except FolderError:
            return None
        minute = now.replace(second=0, microsecond=0) if page in _CLOCK_PAGES else None
        return files, settings.language, today, minute, tuple(dismissed_boxes.read(folder).items())

    def given(self, page: str, query: str, state: Hashable) -> bytes | None:
        """The kept answer, if the state is still the same."""
        with self._lock:
            kept, answer = self._answers.get((page, query), (None, b""))
        return answer if state is not None and kept == state else None

    def keep(self, page: str, query: str, state: Hashable, answer: bytes) -> None:
        """Keep an answer in place of the page's last one with that query, or of the oldest one."""
        with self._lock:
            self._answers.pop((page, query), None)
            if len(self._answers) == _MOST:
                del self._answers[next(iter(self._answers))]
            self._answers[page, query] = state, answer
