"""A limit of time for a piece of work that could hang."""

from __future__ import annotations

import contextlib
import signal
from collections.abc import Iterator


class TooSlowError(BaseException):
    """The work took too long. No handler of the work catches it, as it would an OSError or an Exception."""


@contextlib.contextmanager
def time_limit(seconds: float) -> Iterator[None]:
    """Raise TooSlowError in the work if it takes longer. A system call that waits, e.g. for a pipe, is interrupted."""

    def stop(*_: object) -> None:
        raise TooSlowError(f"longer than {seconds} seconds")

    before = signal.signal(signal.SIGALRM, stop)
    signal.setitimer(signal.ITIMER_REAL, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, before)
