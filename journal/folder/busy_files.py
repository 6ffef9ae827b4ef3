"""Files that another program has open, on Windows: there they can be neither replaced nor removed in that moment.

A virus scanner, an indexer or a synchronisation opens each file that has just been written, for some milliseconds. On
other systems an open file can be replaced, and refused permission is refused.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from typing import TypeVar

T = TypeVar("T")

PATIENCE_SECONDS = 2.0
_PAUSE = 0.02


def patiently(change: Callable[[], T]) -> T:
    """Return the result of a change, made again while the system says that the file is in use. Raises what it raises.

    >>> patiently(lambda: 4)
    4
    """
    deadline = time.monotonic() + PATIENCE_SECONDS
    while True:
        try:
            return change()
        except PermissionError:
            if sys.platform != "win32" or time.monotonic() > deadline:
                raise
            time.sleep(_PAUSE)
