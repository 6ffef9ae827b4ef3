"""What the last walk over a journal found, kept while signals of the system tell that it is still so.

    live_folder.begin(folder)       a page is open: from now on a walk reads again only the folders that changed

A walk of fifty years looks at 21,000 files, and an open page needs one for each edit and each save. Only a process
that shows pages has live folders; without signals (`folder_signals`) each walk looks at every file, as in a command.
"""

from __future__ import annotations

import os
import threading
from collections import OrderedDict
from pathlib import Path
from typing import Any, Generic, TypeVar

from journal.folder import folder_signals

_MOST = 4
"""Journals in one process. A server has one; each takes a queue of the system, which has some 128 for a user."""

Listing = TypeVar("Listing")

_registry_lock = threading.Lock()
_live: OrderedDict[str, LiveFolder[Any]] = OrderedDict()


class LiveFolder(Generic[Listing]):
    """The listings of a journal's folders, each by its path below the top. To be used while holding `lock`."""

    def __init__(self, top: str, signals: folder_signals.FolderSignals) -> None:
        self.lock = threading.RLock()
        self.top = top
        self.signals = signals
        self.whole: object = None
        """What was made of all listings, while all of them are kept and none has changed."""
        self._listings: dict[str, Listing] = {}
        self._heard: set[str] = set()
        self._identity: tuple[int, int] | None = None

    @property
    def is_heard(self) -> bool:
        """Whether every change has a signal. One behind a link has none, and neither has one that cannot be read."""
        return self.whole is not None

    def look(self) -> None:
        """Drop the listings of folders that changed since the last look."""
        changed = self.signals.changed()
        status = os.stat(self.top)  # noqa: PTH116 (a tenth of the time that a Path takes)
        if changed is None or (status.st_dev, status.st_ino) != self._identity:
            self.forget()
            self._identity = status.st_dev, status.st_ino
        elif changed:
            self.whole = None
            for below in changed:
                self._listings.pop(below, None)

    def forget_all(self) -> None:
        """Have every file looked at again."""
        with self.lock:
            self.forget()

    def forget(self) -> None:
        """Drop everything, and listen anew: folders may have other places by now."""
        self.whole = None
        self._listings.clear()
        self._heard.clear()
        self.signals.renew()

    def kept(self, below: str) -> Listing | None:
        """Return the listing of a folder, None if it is to be read. It is listened to from then on."""
        listing = self._listings.get(below)
        if listing is None and self.signals.listen(below):
            self._heard.add(below)
        return listing

    def keep(self, below: str, listing: Listing) -> bool:
        """Keep the listing of a folder that was read after `kept`. False if its changes would not be heard."""
        if below not in self._heard:
            return False
        self._listings[below] = listing
        return True


def begin(folder: Path) -> LiveFolder[Any] | None:
    """Keep the walks over a folder from now on. None where the system has no signals for it."""
    top = str(folder)
    with _registry_lock:
        if top not in _live:
            signals = folder_signals.begin(top)
            if signals is None:
                return None
            _live[top] = LiveFolder(top, signals)
            while len(_live) > _MOST:
                _live.popitem(last=False)
        _live.move_to_end(top)
        return _live[top]


def of(folder: Path) -> LiveFolder[Any] | None:
    """Return the live folder, None if there is none."""
    return _live.get(str(folder))
